"""The headless twin: a file of answers in place of keys, JSON or lines in place of a screen."""

import json
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import partial
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import Any, Literal
from uuid import UUID, uuid5

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from profiles.formats import text_of_today
from profiles.local_time import now_here
from profiles.logbook import Logbook
from profiles.logfile import LogError
from rules import __version__
from rules.asked import Topic
from rules.book import Book
from rules.car.model import Car
from rules.crew import doubted_clock, doubted_stop
from rules.crew.actions import ACTION
from rules.crew.doubted_time import MEANT
from rules.formats import ANSWERS_FORMAT, FormatError, told
from rules.launch.forecast_words import expected_text
from rules.launch.outlook import Model
from rules.launch.severity import PROMPTS
from rules.log.advice import Advice
from rules.log.events.event import Event
from rules.log.events.meeting import SessionKind
from rules.log.log_format import fields_of, unread_text
from rules.log.standing import setting_text
from rules.log.state import State
from rules.passes.slip_entry import KEEP
from rules.plain_data import PlainDataError, toml
from rules.question import UNKNOWN, ActionError, AnswerError
from tui.desk import Desk
from tui.lines import advice_lines, net_of, off_baseline, spoken, spoken_prompt, unresolved
from tui.pages.verdict import verdict_json

NAMESPACE = UUID("6f0f4f0e-6d2b-5f0c-9a53-5e7d0b0b1c11")
JSON_FORMAT: Literal[1] = 1
ADVICE_IDS = frozenset({"kind", "rule", "symptom", "inspection", "undoes", "turns"})
VERSION_BITS = 0xF << 76 | 0x3 << 62
# What a file may leave out goes on like this: nobody knows it, or the time written is meant.
LEFT_OUT = dict.fromkeys((*PROMPTS, doubted_clock.MEANT, doubted_stop.MEANT), UNKNOWN) | {
    MEANT: KEEP
}
PLACE_BYTES = 6  # A UUID keeps its version in the seventh.


class ConsultError(ValueError):
    """The answers cannot be taken; the message names the step, what was found and is wanted."""


class Answers(BaseModel):
    """A file of answers: `step` holds answers to prompts and actions, in order."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    format: int = Field(1, alias=ANSWERS_FORMAT.key)
    run: str = Field("", max_length=80)
    meeting: str = Field("Consultation", min_length=1, max_length=200)
    session: SessionKind = "test"
    step: tuple[dict[str, Any], ...] = ()


def read_answers(text: str, name: str) -> Answers:
    """Read a file of answers.

    Raises:
        ConsultError: with every fault found.
    """
    try:
        raw = toml(text_of_today(text, ANSWERS_FORMAT))
        ANSWERS_FORMAT.of(raw)
        return Answers.model_validate(raw)
    except FormatError as error:
        raise ConsultError(f"{name}: {error}") from None
    except PlainDataError as error:
        raise ConsultError(f"{name}: {error.fault}") from None
    except ValidationError as error:
        faults = [
            f"{name}: {'.'.join(str(part) for part in fault['loc'])}: {told(fault)}; "
            f"found {repr(fault['input'])[:60]}"
            for fault in error.errors()
        ]
        raise ConsultError("\n".join(faults)) from None


def consult(
    car: Car,
    answers: Answers,
    book: Book,
    log_file: Path | None = None,
    clock: Callable[[], datetime] = now_here,
    model: Model | None = None,
) -> tuple[Desk, list[Event]]:
    """Take every step that the log does not hold yet; return the desk and the new events.

    The meeting and the session of the file are used only where the log has none open.

    model: what turns are weighed by; None for the trade's steps alone.

    Raises:
        ConsultError: if a step cannot be taken, or the log holds other answers of this run; the
            steps before it are kept.
        profiles.logfile.LogError: if the log cannot be used, or is another car's.
    """
    if log_file is not None and not answers.run:
        raise ConsultError("run: found nothing; wanted a name, so that a retry is recognised")
    device = f"consult:{answers.run}" if answers.run else "consult"
    log = Logbook.open(log_file, device) if log_file else Logbook.in_memory(device)
    try:
        if log.state.unread:
            raise LogError(f"{unread_text(log.state.unread)} ({log.name})")
        known = {event.id for event in log.events()}
        desk = Desk(log, book, clock=clock, model=model)
        for step in _steps(car, answers, desk, known):
            if step.event_id(1) not in known:
                _run(desk, step)
            if desk.is_advice_due:
                # Named after where the log stands: a step may be in it without its advice.
                _run(desk, _Step(answers.run, f"advice after {desk.state.events}", desk.advise))
        return desk, [event for event in log.events() if event.id not in known]
    except BaseException:
        log.close()
        raise


@dataclass(frozen=True)
class _Step:
    """One thing to take, with the identifiers it makes again on every retry.

    An event's id begins with its place among the steps and ends with the road to it, which every
    answer on the way is part of: so the log tells a step it holds from one that was changed.
    """

    run: str
    name: str
    take: Callable[[], None]
    road: str = ""

    def place(self, number: int) -> bytes:
        return sha256(f"{self.run}/{self.name}/event/{number}".encode()).digest()[:PLACE_BYTES]

    def event_id(self, number: int) -> UUID:
        road = sha256(f"{self.run}/{self.road}".encode()).digest()
        bits = int.from_bytes((self.place(number) + road)[:16])
        # Version 8 of RFC 9562: the rest of the bits are the program's own.
        return UUID(int=bits & ~VERSION_BITS | 0x8 << 76 | 0x2 << 62)

    def event_ids(self) -> Callable[[], UUID]:
        numbers = count(1)
        return lambda: self.event_id(next(numbers))

    def names(self) -> Callable[[], str]:
        numbers = count(1)
        return lambda: uuid5(NAMESPACE, f"{self.run}/{self.name}/name/{next(numbers)}").hex


def _run(desk: Desk, step: _Step) -> None:
    desk.event_ids, desk.names = step.event_ids(), step.names()
    try:
        step.take()
    except (AnswerError, ActionError) as error:
        raise ConsultError(f"{step.name}: {error}") from None


def _steps(car: Car, answers: Answers, desk: Desk, known: set[UUID]) -> Iterator[_Step]:
    begin = partial(_Step, answers.run)
    steps: list[_Step] = []
    for number, step in enumerate(answers.step, 1):
        road = _digest(
            (steps[-1].road if steps else "") + json.dumps(step, sort_keys=True, default=str)
        )
        steps.append(begin(f"step {number}", partial(_take, desk, step), road))
    taken = _taken(steps, known)
    yield begin(f"car {_digest(car.model_dump_json())}", lambda: desk.describe(car))
    if desk.prompt.topic == Topic.MEETING:
        yield begin("meeting", lambda: desk.answer("meeting", answers.meeting))
    if desk.prompt.topic == Topic.SESSION:
        yield begin("session", lambda: desk.answer("session", answers.session))
    yield from steps[taken:]


def _taken(steps: list[_Step], known: set[UUID]) -> int:
    """Return the number of the last step the log holds: those before it are taken too.

    Raises:
        ConsultError: if the log holds a step of this run with another answer.
    """
    places = {one.bytes[:PLACE_BYTES] for one in known}
    held = [step for step in steps if step.place(1) in places]
    for step in held:
        if step.event_id(1) not in known:
            raise ConsultError(
                f"{step.name}: the log holds this step of the run {step.run!r} with another answer "
                "here or just before; nothing was written. A new step with the action 'correct' "
                "corrects an answer"
            )
    return steps.index(held[-1]) + 1 if held else 0


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:16]


def _take(desk: Desk, step: dict[str, Any]) -> None:
    if "action" in step:
        try:
            desk.act(ACTION.validate_python(step))
        except ValidationError as error:
            fault = error.errors()[0]
            where = ".".join(str(part) for part in fault["loc"][1:]) or "action"
            raise ActionError(
                f"{where}: {fault['msg']}; found {repr(fault['input'])[:60]}"
            ) from None
        return
    if step.keys() != {"prompt", "answer"}:
        found = ", ".join(step) or "nothing"
        raise AnswerError(f"found {found}; wanted prompt and answer, or action")
    if (left_out := desk.prompt.id) in LEFT_OUT and step["prompt"] != left_out:
        desk.answer(left_out, LEFT_OUT[left_out])
    value = step["answer"]
    if isinstance(value, list):
        value = tuple(str(one) for one in value)
    elif isinstance(value, bool) or not isinstance(value, str | int | float | dict):
        raise AnswerError(
            f"answer: found {value!r}; wanted text, a number, a list or marks by item"
        )
    desk.answer(str(step["prompt"]), value)


def as_json(desk: Desk, new_events: list[Event]) -> str:
    """Return the outcome as JSON with stable fields, documented in the contributors' guide."""
    state, prompt = desk.state, desk.prompt
    latest = next((run.advice for run in reversed(state.runs) if run.advice), None)
    outcome = {
        "format": JSON_FORMAT,
        "version": __version__,
        "book": desk.book.digest,
        "car": desk.car.id,
        "meeting": state.meeting.name if state.meeting else None,
        "session": state.session,
        "passes": len(state.runs),
        "conditions": _conditions_json(state),
        "slip": _slip_json(state),
        "verdict": verdict_json(state, desk.book),
        "unresolved": unresolved(state),
        "prompt": {
            "id": prompt.id,
            "kind": prompt.kind,
            "question": spoken_prompt(state, prompt).question,
            "choices": [choice.id for choice in prompt.choices if not choice.why_not],
            "unknown": prompt.unknown,
        },
        "advice": _advice_json(desk, latest) if latest else None,
        "settings": {
            key: {
                "value": value,
                "text": setting_text(state, key, value),
                "net": net_of(state, key),
            }
            for key, value in state.settings.items()
        },
        "events": [fields_of(event) for event in new_events],
    }
    return json.dumps(outcome, indent=2, allow_nan=False)


def _conditions_json(state: State) -> dict[str, Any] | None:
    run = next((run for run in reversed(state.runs) if run.conditions), None)
    if run is None or run.conditions is None:
        return None
    return {"pass": run.number, **asdict(run.conditions)}


def _slip_json(state: State) -> dict[str, Any] | None:
    run = next((run for run in reversed(state.runs) if run.slip), None)
    if run is None or run.slip is None:
        return None
    return {"pass": run.number, **asdict(run.slip), "marks": sorted(run.slip.marks)}


def _advice_json(desk: Desk, advice: Advice) -> dict[str, Any]:
    state = desk.state
    dumped = advice.model_dump(mode="json", by_alias=True, exclude={"basis"})
    plain: dict[str, Any] = _spoken(state, dumped)
    plain["turns"] = [
        {
            "adjuster": turn.adjuster,
            "from": turn.before,
            "to": turn.after,
            "from_text": setting_text(state, turn.adjuster, turn.before),
            "to_text": setting_text(state, turn.adjuster, turn.after),
        }
        for turn in advice.turns
    ]
    if advice.expected:
        plain["expected"]["text"] = expected_text(advice.expected, desk.car.units)
    return plain


def _spoken(state: State, value: Any, key: str = "") -> Any:
    """Return a part of an advice with its texts, which are not its ids, in the crew's words."""
    if key in ADVICE_IDS:
        return value
    if isinstance(value, dict):
        return {name: _spoken(state, one, name) for name, one in value.items()}
    if isinstance(value, list):
        return [_spoken(state, one) for one in value]
    return spoken(state, value) if isinstance(value, str) else value


def as_lines(desk: Desk) -> str:
    """Return the outcome as plain lines: the open question, with the advice if it is one."""
    state = desk.state
    prompt = spoken_prompt(state, desk.prompt)
    rows = [prompt.question]
    if isinstance(prompt.about, Advice):
        rows.insert(0, spoken(state, prompt.about.title).upper())
        rows += advice_lines(state, prompt.about)
    elif prompt.hint:
        rows.append(prompt.hint)
    rows += [
        f"  {choice.id}: {choice.label}"
        + (f" (not now: {choice.why_not})" if choice.why_not else "")
        for choice in prompt.choices
    ]
    off = off_baseline(state)
    rows += ["", unresolved(state), "Off baseline: " + ("; ".join(off) if off else "nothing")]
    return "\n".join(rows)
