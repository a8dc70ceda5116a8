"""One race day of a virtual crew, played through the functions that the screen uses.

A day has up to six changes and a dozen passes; it ends when two passes running truly had no fault,
or when the car stays. What the tool advises is made as it says; nobody helps it.
"""

import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from rules.advice.by_mechanics.ways import ways
from rules.advice.situation import situation
from rules.asked import AdviceChoice, Topic, TurnChoice
from rules.crew.loop import answer, due_advice
from rules.launch.outlook import Model
from rules.launch.proposed_change import Expected
from rules.log.advice import Advice
from rules.log.said import GOOD
from rules.question import UNKNOWN, ActionError, AnswerError, Prompt
from tests.bench.virtual.cars import Air, TrueCar
from tests.bench.virtual.eyes import Eyes, crewman
from tests.bench.virtual.family import true_car
from tests.bench.virtual.faults import clearly_worse, fault_of, faults_of, stand
from tests.bench.virtual.fleets import USUAL, Fleet
from tests.bench.virtual.kept import kept
from tests.bench.virtual.knowing import Knowing
from tests.bench.virtual.oracle import cure_at_hand
from tests.bench.virtual.overruled import BooksWay, books_way
from tests.bench.virtual.truth import Outcome
from tests.support.crew import Crew

MOST_CHANGES = 6
MOST_PASSES = 12
MOST_ANSWERS = 90
# A crew that was told nothing for as many passes running goes home.
MOST_IDLE = 3


@dataclass
class Told:
    """One pass as it was: what was wrong, what the crew heard of it, what was done after it."""

    number: int
    faults: dict[str, float]
    lift: float
    named: list[str]
    advised: str = ""
    expected: str = ""


@dataclass
class Day:
    """What a day came to.

    changes: turns made before the first of two good passes, None where there were not two.
    made: all changes.  worse: those after which a danger was clearly worse, in the same air.
    idle: passes run unchanged with a fault.  curable: of them, those with a cure at hand;
    left: those with one that no gate forbids.
    held: (number, whether the outcome was in the stated range).  chances: (stated, whether cured).
    cpu: seconds for each advice.  end: why it ended.
    oracle, knowing: changes of who tries all single turns, and of the decider that knows the car.
    books: the rule that the book alone goes by, by the number of the pass, where it was asked for.
    """

    seed: int
    first: dict[str, float]
    changes: int | None = None
    made: int = 0
    passes: int = 0
    worse: int = 0
    rose: int = 0
    idle: int = 0
    curable: int = 0
    left: int = 0
    held: list[tuple[str, bool]] = field(default_factory=list)
    chances: list[tuple[float, bool]] = field(default_factory=list)
    cpu: list[float] = field(default_factory=list)
    turns: list[str] = field(default_factory=list)
    told: list[Told] = field(default_factory=list)
    oracle: int | None = None
    knowing: int | None = None
    end: str = ""
    books: dict[int, BooksWay] = field(default_factory=dict)


class _Player:
    """A crew on its day."""

    def __init__(
        self, car: TrueCar, seed: int, model: Model | None, noise: float, by_rule: bool
    ) -> None:
        self.car, self.model, self.by_rule = car, model, by_rule
        self.rng = np.random.default_rng((seed, 5))
        self.crewman = crewman(self.rng, noise)
        self.airs = car.airs(np.random.default_rng((seed, 6)), MOST_PASSES + 2)
        session = "test" if self.rng.random() < 0.7 else "qualifying"
        self.crew = Crew(car.file, session=session)
        self.start = dict(self.crew.state.settings)
        self.day = Day(seed, {})
        self.eyes: Eyes | None = None
        self.last: Outcome | None = None
        self.settings: dict[str, float] = {}
        self.good = self.idle = 0
        self.treated: str | None = None
        self.expected: Expected | None = None
        self.asked_back = 0
        self.cures: dict[tuple[tuple[str, float], ...], bool] = {}
        self.before: Outcome | None = None
        self.allowed: list[dict[str, float]] = []
        self.made_then = 0

    # -- talking to the loop

    def say(self, value: Any) -> None:
        """Answer the open question, and let the advice that is due be worked out."""
        crew, prompt = self.crew, self.crew.prompt
        given = tuple(value) if isinstance(value, list) else value
        crew.record(answer(crew.state, crew.book, prompt.id, given, crew.new_id, advised=False))
        self.work_out()

    def work_out(self) -> None:
        """Work out the advice that is due, as the screen does in its thread."""
        start = time.process_time()
        bodies = due_advice(self.crew.state, self.crew.book, self.model)
        if bodies:
            self.day.cpu.append(time.process_time() - start)
            self.crew.record(bodies)

    def try_to_say(self, values: Iterable[Any]) -> None:
        """Say the first of some answers that the question takes."""
        for value in values:
            try:
                self.say(value)
            except AnswerError:
                continue
            return
        raise AnswerError(f"no answer to {self.crew.prompt.id}")

    # -- the track

    def air(self) -> Air:
        """Return what the coming pass finds."""
        return self.airs[min(self.day.passes, len(self.airs) - 1)]

    def run(self) -> None:
        """Let the car run a pass as it stands now, and count what came of it."""
        day, state = self.day, self.crew.state
        air, settings = self.air(), dict(state.settings)
        truth = self.car.run(settings, air)
        faults = faults_of(truth)
        if not day.passes:
            day.first = faults
        elif settings == self.settings:
            if faults_of(self.last) if self.last else ():
                day.idle += 1
                self.idle += 1
                day.curable += self._curable(settings, air)
                day.left += any(not faults_of(self.car.run(one, air)) for one in self.allowed)
        else:
            self.idle = 0
            self._count_change(settings, air, truth)
        day.passes += 1
        self.good = 0 if faults else self.good + 1
        if self.good == 1:
            self.made_then = day.made
        self.before, self.last, self.settings = self.last, truth, settings
        self.eyes = Eyes(self.crewman, self.rng, self.car.at(settings, air), truth, self.car.file)
        self.asked_back = 0
        day.told.append(
            Told(day.passes, {k: round(v, 2) for k, v in faults.items()}, truth.lift, [])
        )

    def _curable(self, settings: dict[str, float], air: Air) -> bool:
        key = tuple(sorted(settings.items()))
        if key not in self.cures:
            self.cures[key] = cure_at_hand(self.car, settings, air)
        return self.cures[key]

    def _count_change(self, settings: dict[str, float], air: Air, truth: Outcome) -> None:
        day = self.day
        unchanged = self.car.run(self.settings, air)
        day.worse += clearly_worse(unchanged, truth)
        day.rose += stand(truth.lift) > stand(unchanged.lift)
        if self.expected is not None:
            day.held += _held(self.expected, truth)
            if self.expected.enough and self.treated:
                cured = fault_of(self.treated) not in faults_of(truth)
                day.chances.append((self.expected.enough, cured))
        self.expected = None

    # -- the day

    def play(self) -> Day:
        """Play the day to its end."""
        day = self.day
        since = 0
        passes = 0
        while self.good < 2 and not day.end:
            if day.passes != passes:
                passes, since = day.passes, 0
            since += 1
            if since > MOST_ANSWERS:
                day.end = f"stuck at {self.crew.prompt.id}"
                break
            self.step(self.crew.prompt)
        if self.good >= 2:
            day.changes, day.end = self.made_then, "good and repeated"
        return day

    def step(self, prompt: Prompt) -> None:
        """Answer one question as the crew does."""
        topic = prompt.topic
        if topic == Topic.RAN or (topic == "symptoms" and self.crew.state.open_run is None):
            if self.day.passes >= MOST_PASSES or self.idle >= MOST_IDLE:
                self.day.end = "idle" if self.idle >= MOST_IDLE else "no more passes"
                return
            self.run()
            if self.good >= 2:
                return
        if topic == Topic.RAN:
            self.say(Topic.RAN)
            self.measure()
        elif topic == Topic.ADVICE:
            self.advice(prompt)
        elif topic == Topic.TURN:
            self.say(TurnChoice.DONE)
        elif prompt.kind == "tick":
            self.say("all ok")
        elif topic == Topic.WORKING_OUT:
            self.work_out()
        else:
            begins = self.crew.state.open_run is None
            self.answer(prompt)
            if begins:
                self.measure()

    def answer(self, prompt: Prompt) -> None:
        """Answer a question about the pass."""
        eyes = self.eyes
        ids = [one.id for one in prompt.choices if not one.why_not]
        if eyes is None:
            self.try_to_say(_ways_on(prompt, ids))
        elif prompt.topic == "symptoms" or (prompt.kind == "many" and GOOD in ids):
            named = [one for one in eyes.named() if one in ids]
            named = named or [GOOD]
            self.day.told[-1].named += named
            self.try_to_say([named, [GOOD], *_ways_on(prompt, ids)])
        elif prompt.topic == "what-else":
            lane = self.rng.random() < 0.15
            self.try_to_say([["lane-or-air"] if lane else ["nothing"], *_ways_on(prompt, ids)])
        elif prompt.topic == "verdict":
            word = eyes.verdict(self.treated, self.before)
            self.day.told[-1].named.append(word)
            self.try_to_say([word, "same", UNKNOWN])
        elif prompt.topic == "sixty-foot":
            self.try_to_say([eyes.sixty or "", ""])
        elif prompt.topic == "sixty-foot-meant":
            self.try_to_say(["keep"])
        else:
            said = eyes.answer(prompt)
            self.try_to_say([*([said] if said else []), *_ways_on(prompt, ids)])

    def measure(self) -> None:
        """Say what was measured and what the slip has, as the keys of the screen do."""
        if self.eyes is None or self.crew.state.open_run is None:
            return
        done: list[dict[str, Any]] = [
            {"action": "measure", "what": what, "inputs": inputs}
            for what, inputs in self.eyes.measured()
        ]
        if (sixty := self.eyes.sixty) is not None:
            done.append({"action": "slip", "sixty": sixty, "keep": ["sixty"]})
        for one in done:
            try:
                self.crew.do(one.pop("action"), **one)
            except (ActionError, ValueError):
                continue
            self.work_out()

    def advice(self, prompt: Prompt) -> None:
        """Take the advice as it is meant."""
        given = prompt.about
        ids = [one.id for one in prompt.choices if not one.why_not]
        assert isinstance(given, Advice)
        told = self.day.told[-1]
        told.advised += f" [{given.kind}] {given.title}"
        if self.by_rule:
            found = books_way(self.crew.state, self.crew.book, given, self.car, self.air())
            if found is not None:
                self.day.books[self.day.passes] = found
        state, run = self.crew.state, self.crew.state.open_run
        if run is not None:
            now = situation(state, run, self.crew.book)
            self.allowed = [way.settings(state.settings) for way in ways(now)]
        if AdviceChoice.MAKE in ids:
            if self.day.made >= MOST_CHANGES:
                self.day.end = "six changes"
                return
            self.day.made += 1
            self.treated, self.expected = given.symptom, given.expected
            self.day.turns.append(f"{given.symptom}: {given.rule}")
            if given.expected is not None:
                said = given.expected
                told.expected = f"{said.standing}, {said.enough:.2f}, {said.step}/{said.trade_step}"
            self.say(AdviceChoice.MAKE)
            return
        if AdviceChoice.INSPECT in ids:
            self.say(AdviceChoice.INSPECT)
            return
        if AdviceChoice.FIND_OUT in ids and self.asked_back < 2:
            self.asked_back += 1
            self.say(AdviceChoice.FIND_OUT)
            return
        for choice in (AdviceChoice.NOBODY, AdviceChoice.CONTROL, AdviceChoice.OK):
            if choice in ids:
                self.say(choice)
                if given.kind == "stop":
                    self.day.end = "the car stays"
                return
        self.say(ids[0])


def _ways_on(prompt: Prompt, ids: list[str]) -> list[Any]:
    """Return the answers of a crew that knows nothing of what is asked."""
    if prompt.kind == "many":
        return [["nothing"], [UNKNOWN], ids[:1]]
    if prompt.id.startswith("pair:"):
        return ["put right", "keep", *ids]
    ways: list[Any] = [UNKNOWN] if prompt.unknown else []
    return [
        *ways,
        *([""] if prompt.optional else []),
        *filter(None, [prompt.default]),
        *ids,
        "Invented",
    ]


def _held(said: Expected, truth: Outcome) -> list[tuple[str, bool]]:
    """Return for each number that a crew can read whether it came out within what was stated."""
    reads = {
        "lift": truth.lift,
        "landing travel": truth.ring,
        "carry": truth.down_at if truth.lift > 0.02 else None,
        "bounce": truth.hop,
        "60-foot": truth.sixty or None,
    }
    found = []
    for effect in said.effects:
        value = reads.get(effect.name)
        if value is not None:
            found.append((effect.name, effect.after.low <= value <= effect.after.high))
    return found


def play_day(
    seed: int,
    model: Model | None,
    gaps: float = 1.0,
    noise: float = 1.0,
    by_rule: bool = False,
    knowing: bool = False,
    fleet: Fleet = USUAL,
) -> tuple[Day, TrueCar, list[Air]]:
    """Play the day of a seed: the same seed and decider, the same day.

    by_rule: hold what was chosen against the book's own way after every pass.
    knowing: let the decider know the true car, see `Knowing`.
    """
    car = kept(f"car-{fleet.name}-{seed}-{gaps:g}", lambda: true_car(seed, gaps, fleet))
    player = _Player(car, seed, model, noise, by_rule)
    if knowing and model is not None:
        # As the oracle it knows the day's drift, not the scatter of the pass to come.
        player.model = Knowing(car, lambda: player.airs[max(player.day.passes - 1, 0)], model)
    return player.play(), car, player.airs
