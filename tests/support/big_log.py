"""Logs of many passes: each pass with its answers, slip, air, list, advice, change and note.

An invented car runs the same cycle again and again. `python tests/support/big_log.py LOG PASSES`
writes one to a file.
"""

import sys
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

from profiles.files import SHIPPED_CARS, load_car
from profiles.logfile import open_log, transaction
from rules.car.adjusters import Turn, starts
from rules.car.model import Car
from rules.log.advice import Advice, Basis
from rules.log.events.advice import AdviceGiven, AdviceSettled
from rules.log.events.car import BaselineDeclared, CarDescribed
from rules.log.events.changes import ChangeProposed, TurnDone
from rules.log.events.event import Body, Event
from rules.log.events.lists import ItemTicked
from rules.log.events.meeting import MeetingOpened, NoteAdded, SessionChanged
from rules.log.events.passes import Answered, ConditionsNoted, PassRun, SlipNoted
from rules.log.log_format import kind_of, written_body
from rules.passes.slip import Slip

START = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
PASSES_OF_A_MEETING = 8
DANGER_EVERY = 10
KNOB = "left front rebound"
ITEMS = ("pan-and-fluids", "mounts", "arms", "wheels", "toe", "dampers", "springs", "rest")
DEMO = SHIPPED_CARS / "demo.toml"


def big_log(
    passes: int, car: Car | None = None, of_a_meeting: int = PASSES_OF_A_MEETING
) -> Iterator[Event]:
    """Yield the events of a log with so many passes."""
    car = car or load_car(DEMO)
    for seq, (at, body) in enumerate(_bodies(car, passes, of_a_meeting), 1):
        yield Event(id=UUID(int=seq), device="tests", seq=seq, at=at, body=body)


def write_log(path: Path, events: Iterable[Event]) -> None:
    """Write a log with these events."""
    log = open_log(path, create=True)
    with transaction(log):
        log.executemany(
            "INSERT INTO events (id, device, seq, at, kind, body) VALUES (?, ?, ?, ?, ?, ?)",
            (
                (str(e.id), e.device, e.seq, e.at.isoformat(), kind_of(e), written_body(e))
                for e in events
            ),
        )
    log.close()


def _bodies(car: Car, passes: int, of_a_meeting: int) -> Iterator[tuple[datetime, Body]]:
    at = START
    yield at, CarDescribed(car=car)
    settings = starts(car)
    yield at, BaselineDeclared(baseline="baseline 1", name="Car file", settings=settings)
    change = None
    for number in range(1, passes + 1):
        if number % of_a_meeting == 1:
            at += timedelta(days=6)
            yield at, MeetingOpened(meeting=f"meeting {number}", name=f"Invented day {number}")
            yield at, SessionChanged(session="test")
        at += timedelta(minutes=30)
        for body in _pass(number, change, settings):
            yield at, body
            if isinstance(body, ChangeProposed):
                change = body.change
    # The last change waits for its pass, as in any log that is put away in the evening.


def _pass(number: int, change: str | None, settings: dict[str, float]) -> Iterator[Body]:
    run = f"{number:032x}"
    yield PassRun(run=run, change=change)
    yield Answered(run=run, prompt="what-else", value=("nothing",))
    if change is not None:
        yield Answered(run=run, prompt="verdict", value="same")
    danger = number % DANGER_EVERY == 0
    symptom = "front-carries" if danger else "spins-at-hit"
    yield Answered(run=run, prompt="symptoms", value=(symptom,))
    yield Answered(run=run, prompt="stand", value="small")
    yield Answered(run=run, prompt="bars", value="clear")
    yield ConditionsNoted(
        run=run,
        units="us",
        lane="left",
        air_temperature=80.0 + number % 9,
        humidity=50.0,
        pressure=29.5,
        pressure_kind="station pressure",
    )
    sixty = 1.30 + (number * 7919 % 31) / 1000.0
    yield SlipNoted(run=run, slip=Slip(sixty_s=sixty, eighth_s=5.9 + sixty / 2.0))
    for item in ITEMS if danger else ():
        yield ItemTicked(inspection="hard-landing", reason=run, item=item, mark="ok")
    before = settings[KNOB]
    turn = Turn(adjuster=KNOB, before=before, after=before + (1 if number % 2 else -1))
    yield AdviceGiven(run=run, advice=_advice(turn, settings))
    yield AdviceSettled(run=run, choice="made", done=True)
    name = f"{number:031x}c"
    yield ChangeProposed(
        change=name,
        origin="advice",
        title="Left front rebound: 1 click",
        turns=(turn,),
        rule="carries-rebound-firmer",
        symptom=symptom,
        run=run,
    )
    yield TurnDone(change=name, adjuster=KNOB)
    settings[KNOB] = turn.after
    yield NoteAdded(text=f"Invented note {number}", run=run)


def _advice(turn: Turn, settings: dict[str, float]) -> Advice:
    words = "An invented reason that is about as long as one of the book is, and no longer. "
    basis = Basis(
        book="0" * 16,
        version="0",
        facts={"stand": "small", "bars": "clear", "session": "test"},
        settings=dict(settings),
        session="test",
    )
    return Advice(
        kind="turn",
        title="Left front rebound: 1 click",
        rule="carries-rebound-firmer",
        upward=True,
        turns=(turn,),
        cause=words,
        why=words,
        expect=words,
        look_for=words,
        put_back_if=words,
        minutes=5,
        cautions=(words,),
        symptom="front-carries",
        basis=basis,
    )


if __name__ == "__main__":
    write_log(Path(sys.argv[1]), big_log(int(sys.argv[2])))
