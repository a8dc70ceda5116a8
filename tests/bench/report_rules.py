"""Reports how often the mechanics bear the shipped rules out, over drawn cars.

PYTHONPATH=. python tests/bench/report_rules.py [--write] [CARS]

Each drawn car is launched; where its numbers show a symptom, the book's questions are answered from
them, and every rule that stands there takes its first step, by the shipped functions. The car is
launched again: was the number that the rule is after moved the right way? --write puts the table
into docs/rules-and-mechanics.md.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from rules.advice.candidates import candidates
from rules.advice.record import Record
from rules.advice.situation import situation, tried_facts
from rules.book import Book, shipped
from rules.book.facts import Fact
from rules.book.schema import KnobLever, RuleText
from rules.car.adjusters import Settings, Turn, starts
from rules.car.model import Car
from rules.crew.examples import example_log, tried_change
from rules.launch.goals import LEAST_CHANGE, MEASURES, goal_of
from rules.launch.proposed_change import ProposedChange
from rules.log.events.event import Body
from rules.log.events.passes import Answered, PassRun
from rules.log.state import State
from rules.log.state_after import after
from tests.support.launch.rule_cars import (
    Fleet,
    drawn_cars,
    happened,
    launched,
    launched_at_start,
    seen,
    shown,
    true_car,
)

PAGE = Path(__file__).parents[2] / "docs" / "rules-and-mechanics.md"
CARS, SEED = 3000, 20310504
HOLDS_UP = 0.8
FEW = 12
HARDLY = 0.8
LITTLE = 0.02
"""A number that moves by less than this share of itself is one that no crew sees."""

SHIFT = "unloads-at-gear-change"
MODELLED = frozenset(
    {"knob", "launch rpm", "spring", "travel limiter", "ride height", "link position"}
)
NO_LEVER = {
    "tyre pressure": "what the front tyres' pressure does is not in the launch",
    "preload": "works left against right; the launch has no roll",
    "anti-roll bar": "works left against right; the launch has no roll",
    "valving": "needs dyno tables of both valvings; then the knob's rule is what is tested",
}
NO_SYMPTOM = {
    "bogs": "the engine's speed is not in the launch",
    "brakes-badly": "braking is not in the launch",
    "changed-through-day": "heat is not in the launch",
    "damage-found": "damage is not in the launch",
    "knob-sticks": "damage is not in the launch",
    "mushy-damper": "lost gas is not in the launch",
    "ride-height-differs": "bind is not in the launch",
    "rolls-to-one-side": "left and right are not in the launch",
    "sixty-foot-varies": "scatter is not in the launch",
    "strange-surface": "what a surface holds is an input, not a result",
    "sudden-drift": "left and right are not in the launch",
    "tyre-shake": "the tyre's own vibration is not in the launch",
    "wanders-at-speed": "steering and air are not in the launch",
    "wheel-hop": "the axle's own vibration is not in the launch",
}

BY_ITSELF = {
    "nose-high-ride-height-lower": "true by itself: it sets the height that is looked at",
    "squats-ride-height-raise": "true by itself: it sets the height that is looked at",
}


@dataclass(frozen=True)
class Number:
    """What a rule is after: the number, which way is wanted, and the least that matters."""

    name: str
    wanted: int
    least: float
    scale: float
    unit: str


@dataclass
class Tally:
    """What came of one rule's first step: numbers before and after, a row a car.

    goals: by the number that the rule was after on that car.
    """

    right: int = 0
    wrong: int = 0
    little: int = 0
    goals: dict[Number, list[tuple[float, float]]] = field(default_factory=dict)
    travels: list[tuple[float, float]] = field(default_factory=list)
    stands: list[tuple[float, float]] = field(default_factory=list)

    @property
    def cars(self) -> int:
        """How many cars took the step."""
        return self.right + self.wrong + self.little

    @property
    def share(self) -> float:
        """Share of the right sign, of the cars on which it matters [-]."""
        moved = self.right + self.wrong
        return self.right / moved if moved else float("nan")


@dataclass(frozen=True)
class Trial:
    """A rule's first step on one car: the settings it comes to and the number it is after."""

    rule: str
    row: int
    settings: Settings
    number: Number


def number_of(rule: RuleText, car: Car, facts: dict[str, Fact]) -> Number | None:
    """Return what a rule is after on a car that was seen to do this, or None."""
    if rule.symptom == SHIFT:
        return _grip("load after the shift")
    if rule.symptom == "spins-at-hit":
        return _grip("grip at the hit")
    if rule.symptom == "unloads-after-hit":
        match facts.get("unload-when"):
            case "bars":
                return Number("lift", -1, LEAST_CHANGE["length"], 1.0, "m")
            case "front-top":
                return Number("top-out force", -1, LEAST_CHANGE["force"], 1e-3, "kN")
            case "front-landed":
                return _grip("load at the landing")
        return _grip("load where it let go")
    question = ProposedChange(
        car=car, settings={}, steps=(), symptom=rule.symptom, upward=True, levers=(), facts=facts
    )
    goal = goal_of(question)
    if goal is None:
        return None
    measure = MEASURES[goal.name]
    scale, unit = {"length": (1e3, "mm"), "force": (1e-3, "kN"), "distance": (1.0, "m")}[measure]
    if goal.name == "lift":
        scale, unit = 1.0, "m"
    return Number(goal.name, goal.wanted, LEAST_CHANGE[measure], scale, unit)


def _grip(name: str) -> Number:
    return Number(name, 1, LEAST_CHANGE["force"], 1e-3, "kN")


def has_claim(rule: RuleText) -> str:
    """Return why nothing physical of a rule can be tested, or nothing where it can."""
    if rule.lever is None:
        return ""
    if rule.id in BY_ITSELF:
        return BY_ITSELF[rule.id]
    if rule.symptom in NO_SYMPTOM:
        return NO_SYMPTOM[rule.symptom]
    rear_pressure = rule.lever.part == "tyre pressure" and rule.lever.axle == "rear"
    return "" if rear_pressure or rule.lever.part in MODELLED else NO_LEVER[rule.lever.part]


def turned_rules(book: Book) -> list[RuleText]:
    """Return the rules that turn something the launch knows, page by page, in their order."""
    pages = (book.rules_for(symptom) for symptom in book.names)
    return [one for page in pages for one in page if one.do == "turn" and not has_claim(one)]


def not_tested(book: Book) -> list[RuleText]:
    """Return the rules that turn something the launch says nothing about."""
    pages = (book.rules_for(symptom) for symptom in book.names)
    return [one for page in pages for one in page if one.do == "turn" and has_claim(one)]


def said(book: Book, car: Car, symptom: str, facts: dict[str, Fact]) -> State:
    """Return a log with one pass of a car that showed this."""
    asked = {ask.prompt for ask in book.symptoms[symptom].asks}
    bodies: list[Body] = [
        *example_log(car),
        PassRun(run="pass"),
        Answered(run="pass", prompt="symptoms", value=(symptom,)),
        Answered(run="pass", prompt="what-else", value=("nothing",)),
        *(
            Answered(run="pass", prompt=key, value=str(value))
            for key, value in facts.items()
            if key in asked
        ),
    ]
    return after(State(), bodies)


def trials(book: Book, files: Sequence[Car], fleet: Fleet, *, shift: bool) -> Iterator[Trial]:
    """Yield every rule's first step on every car that shows its symptom and meets its conditions.

    What no number answers (how it hooked, what it did on the lift) is as in the rule's examples.
    """
    rules = [one for one in turned_rules(book) if (one.symptom == SHIFT) is shift]
    for row, car in enumerate(files):
        if fleet.lost[row]:
            continue
        facts, may_say = seen(fleet, row, car), happened(fleet, row)
        if facts["bars"] in ("touched", "hit"):
            may_say = (*may_say, "bars")
        there = {one.symptom for one in rules if shown(fleet, row, one.symptom, facts)}
        for rule in rules:
            if rule.symptom not in there:
                continue
            found = _first_step(book, rule, car, facts, may_say)
            if found is None:
                continue
            turns, all_facts = found
            number = number_of(rule, car, all_facts)
            if number is not None:
                turned = {turn.adjuster: turn.after for turn in turns}
                yield Trial(rule.id, row, {**starts(car), **turned}, number)


def _first_step(
    book: Book, rule: RuleText, car: Car, facts: dict[str, Fact], may_say: Sequence[str]
) -> tuple[tuple[Turn, ...], dict[str, Fact]] | None:
    """Return the turns of a rule where it stands for one of its examples on this car."""
    for example in rule.fires:
        answers: dict[str, Fact] = {**example.answers, **facts}
        if (told := example.answers.get("unload-when")) in may_say:
            answers["unload-when"] = told
        state = said(book, car, rule.symptom, answers)
        now = situation(state, state.runs[-1], book)
        if example.tried:
            record = Record(tuple(tried_change(*one) for one in example.tried.items()))
            now = replace(now, record=record, facts={**now.facts, **tried_facts(record, book)})
        for one in candidates(now):
            if one.rule.id == rule.id and not one.lost:
                return one.turns, answers
    return None


def tally(
    files: Sequence[Car], fleet: Fleet, made: Sequence[Trial], *, shift: bool
) -> dict[str, Tally]:
    """Launch every trial and hold it against the launch before it."""
    places: dict[tuple[int, tuple[tuple[str, float], ...]], int] = {}
    for one in made:
        places.setdefault((one.row, tuple(sorted(one.settings.items()))), len(places))
    cars = [true_car(files[row], dict(settings), row, shift) for row, settings in places]
    then = launched(cars)
    found: dict[str, Tally] = {}
    for one in made:
        place = places[one.row, tuple(sorted(one.settings.items()))]
        number = one.number
        row = found.setdefault(one.rule, Tally())
        goals = row.goals.setdefault(number, [])
        before, now = fleet.numbers[number.name][one.row], then.numbers[number.name][place]
        if then.lost[place]:
            row.wrong += 1
            continue
        # A front that no longer leaves the ground carries nowhere.
        change = number.wanted * float(np.nan_to_num(now) - np.nan_to_num(before))
        least = max(number.least, LITTLE * abs(float(np.nan_to_num(before))))
        row.right += change > least
        row.wrong += change < -least
        row.little += abs(change) <= least
        goals.append((before * number.scale, now * number.scale))
        for name, rows, scale in (("landing travel", row.travels, 1e3), ("lift", row.stands, 1.0)):
            rows.append((fleet.numbers[name][one.row] * scale, then.numbers[name][place] * scale))
    return found


def measured(book: Book, count: int = CARS, seed: int = SEED) -> dict[str, Tally]:
    """Return what came of every rule that can be tested."""
    files = drawn_cars(count, seed)
    found: dict[str, Tally] = {}
    for shift in (False, True):
        fleet = launched_at_start(files, shift)
        found |= tally(files, fleet, list(trials(book, files, fleet, shift=shift)), shift=shift)
    return found


def lever_words(rule: RuleText) -> str:
    """Say what a rule turns: front rebound firmer."""
    lever = rule.lever
    if isinstance(lever, KnobLever):
        speed = "" if lever.speed == "any" else f"{lever.speed}-speed "
        return f"{lever.axle} {speed}{lever.controls} {rule.direction}"
    if lever is None:
        return ""
    axle = "" if lever.axle == "car" else f"{lever.axle} "
    return f"{axle}{lever.part} {rule.direction}"


def _pair(rows: Sequence[tuple[float, float]], digits: int) -> str:
    if not rows:
        return "-"
    before, now = np.nanmedian(np.array(rows), axis=0)
    return f"{before:.{digits}f} to {now:.{digits}f}"


def row_of(rule: RuleText, found: Tally | None) -> str:
    """Return one line of the table."""
    head = f"| {rule.id} | {lever_words(rule)} |"
    if found is None:
        return f"{head} - | 0 | - | - | - | - | - | no drawn car meets its conditions |"
    # A rule may be after another number on another car: the table shows the commonest.
    number, goals = max(found.goals.items(), key=lambda one: len(one[1]))
    digits = 2 if number.unit in ("m", "kN") else 0
    share = "-" if np.isnan(found.share) else f"{found.share:.0%}"
    moved = found.right + found.wrong
    note = "few cars" if moved < FEW else "below 80 %" if found.share < HOLDS_UP else ""
    if found.little > HARDLY * found.cars:
        note = f"{note}, hardly acts" if note.startswith("below") else "hardly acts"
    return (
        f"{head} {number.name}, {number.unit} | {found.cars} | {share} |"
        f" {found.little / found.cars:.0%} | {_pair(goals, digits)} |"
        f" {_pair(found.travels, 0)} | {_pair(found.stands, 2)} | {note} |"
    )


def table(book: Book, found: dict[str, Tally]) -> str:
    """Return both tables as the page shows them."""
    lines = [
        "| rule | turn | after what | cars | right | too small | before to after"
        " | landing travel, mm | stand, m | |",
        "|---|---|---|---|---|---|---|---|---|---|",
        *(row_of(rule, found.get(rule.id)) for rule in turned_rules(book)),
        "",
        "Rules that turn something of which the launch says nothing:",
        "",
        "| rule | turn | why |",
        "|---|---|---|",
        *(f"| {one.id} | {lever_words(one)} | {has_claim(one)} |" for one in not_tested(book)),
    ]
    return "\n".join(lines)


def main(arguments: Sequence[str]) -> None:
    """Print the tables; with --write put them into the page."""
    book = shipped()
    count = next((int(one) for one in arguments if one.isdigit()), CARS)
    text = table(book, measured(book, count))
    print(text)
    if "--write" in arguments:
        page = PAGE.read_text("utf-8")
        head = page.split(BEGIN)[0]
        PAGE.write_text(f"{head}{BEGIN}\n\n{text}\n", "utf-8")


BEGIN = "<!-- What follows is generated: see the command above. -->"

if __name__ == "__main__":
    main(sys.argv[1:])
