"""From `setdown new` to the first turn of a knob: every prompt and every key counted.

The crew knows its car's weight, wheelbase and knobs, and what the car did, as the examples of the
rule book tell it. `pytest -s` prints what each symptom took, with minutes that are an estimate, no
crew was timed: every word read at 238 a minute (Brysbaert 2019, silent reading), 1.35 s of thought
before each answer and 0.28 s a key (Card, Moran and Newell 1983, keystroke-level model, no typist),
all from memory. Clicks are taken as counted before.
"""

from dataclasses import dataclass, field
from pathlib import Path

import pytest
from drive import BOOK, at_the_screen, choice_keys, make_desk
from newcomer import KNOWS_ONLY, PROMPTS, describing, press

from profiles.drafts import draft_car, take_in
from profiles.logbook import Logbook
from profiles.paths import DataFolder
from rules.book.schema import Example
from rules.car.model import Car
from rules.crew.sheets.describe.new_car import NEW_CAR
from rules.crew.sheets.sheet import Filling, prompt_of
from rules.log.advice import Advice
from rules.log.state import State
from rules.question import Given, Prompt
from tests.support.sample import SOME_OR_EVERY
from tui.desk import Desk
from tui.opening import open_car

MOST_PROMPTS, MOST_KEYS = 30, 90
WORDS_A_MINUTE, THOUGHT_S, KEY_S = 238, 1.35, 0.28
KNOB_SYMPTOMS = {
    "front-drops-hard", "front-carries", "spins-at-hit", "unloads-after-hit", "front-bounces",
    "nose-stays-high",
}  # fmt: skip
LANDED_HARD = {"stand": "big", "front-travel": "short-harsh"}


@dataclass
class Counted:
    """What a crew was asked and what it pressed, the description of the car among it."""

    prompts: int = PROMPTS
    keys: int = len(KNOWS_ONLY)
    words: int = 0
    asked: list[str] = field(default_factory=list)

    def take(self, prompt: Prompt, pressed: list[str]) -> None:
        """Count one answered question."""
        self.prompts += 1
        self.keys += len(pressed)
        self.words += words_of(prompt)
        self.asked.append(prompt.id)

    @property
    def minutes(self) -> float:
        """How long it takes by the estimate."""
        return self.words / WORDS_A_MINUTE + (self.prompts * THOUGHT_S + self.keys * KEY_S) / 60


@dataclass(frozen=True)
class Described:
    """A car described on the screen by a crew that knows little of it, and what it read."""

    folder: DataFolder
    car_id: str
    car: Car
    words: int


def words_of(prompt: Prompt) -> int:
    """Return how many words a question has, its choices among them."""
    shown = [prompt.question, prompt.hint, *(choice.label for choice in prompt.choices)]
    return len(" ".join(shown).split())


@pytest.fixture
async def described(tmp_path: Path) -> Described:
    """A car described on the screen by a crew that knows little of it."""
    folder = DataFolder(tmp_path)
    async with describing(folder) as (app, pilot, draft):
        await press(app, pilot, *KNOWS_ONLY)
        state = draft.state
        car, _ = draft_car(state)
        asked = NEW_CAR.asked(Filling(State(), state.sheets[NEW_CAR.id][0].answers))
        words = sum(words_of(prompt_of(one)) for one in asked)
    return Described(folder, take_in(folder, state), car, words)


def said(prompt: Prompt, saw: dict[str, str]) -> tuple[Given, list[str]]:
    """Return what a crew answers that saw this and knows no more, and the keys for it."""
    ids = [choice.id for choice in prompt.choices]
    if prompt.kind == "text":
        return "Friday", [*"Friday", "enter"]
    if prompt.kind == "tick":
        return "all ok", [*"12345678"[: len(ids)], "enter"]
    if prompt.id == "what-else":
        return ("nothing",), ["enter"]
    if saw.get(prompt.id) in ids:
        digits = list(choice_keys(ids.index(saw[prompt.id]), 0, len(ids)))
        return (
            ((saw[prompt.id],), [*digits, "enter"])
            if prompt.kind == "many"
            else (saw[prompt.id], digits)
        )
    return "unknown", ["0"]


def to_advice(desk: Desk, saw: dict[str, str]) -> tuple[Counted, Advice]:
    """Answer down to the advice, off the screen."""
    counted = Counted()
    while desk.prompt.id != "advice":
        prompt = desk.prompt
        value, pressed = said(prompt, {"session": "test"} | saw)
        counted.take(prompt, pressed)
        desk.answer(prompt.id, value)
    assert isinstance(desk.prompt.about, Advice)
    return counted, desk.prompt.about


def plain(example: Example) -> bool:
    """Tell whether an example's car and day are as good as the newcomer's: nothing tried yet."""
    return not example.tried and example.car.at == "middle" and not example.car.without


@pytest.mark.long
@SOME_OR_EVERY
async def test_every_symptom_has_its_first_advice_in_at_most_thirty_prompts(
    described: Described, one_in: int
) -> None:
    turned: dict[str, list[Counted]] = {}
    for symptom in BOOK.symptoms:
        for rule in BOOK.rules_for(symptom):
            for example in [*filter(plain, rule.fires)][:: 3 * one_in - 2]:
                desk = make_desk(car=described.car, meeting="")
                counted, advice = to_advice(desk, {"symptoms": symptom} | example.answers)
                assert counted.prompts <= MOST_PROMPTS, counted.asked
                assert counted.keys <= MOST_KEYS, counted.asked
                counted.words += described.words
                if advice.turns:
                    turned.setdefault(symptom, []).append(counted)
    for symptom, counts in turned.items():
        spans = [
            f"{min(of):.{places}f} to {max(of):.{places}f} {what}"
            for what, places, of in (
                ("prompts", 0, [one.prompts for one in counts]),
                ("keys", 0, [one.keys for one in counts]),
                ("min", 1, [one.minutes for one in counts]),
            )
        ]
        print(f"{symptom:22}", *spans, sep="  ")
    assert turned.keys() >= KNOB_SYMPTOMS


@pytest.mark.long
async def test_the_screen_takes_as_many_and_shows_a_turn(
    described: Described,
) -> None:
    folder, car_id = described.folder, described.car_id
    saw = {"session": "test", "symptoms": "front-drops-hard"} | LANDED_HARD
    counted = Counted()
    with Logbook.open(folder.log_file(car_id), "tests", create=False) as log:
        desk = open_car(folder, car_id, log, BOOK).desk
        async with at_the_screen(desk) as rig:
            while rig.desk.prompt.id != "advice":
                prompt = rig.desk.prompt
                _, pressed = said(prompt, saw)
                counted.take(prompt, pressed)
                await rig.keys(*pressed)
                assert (rig.desk.prompt.id, rig.desk.prompt.reason) != (prompt.id, prompt.reason)
            text = rig.said
            advice = rig.desk.prompt.about
    assert isinstance(advice, Advice)
    assert len(advice.turns) == 2
    assert "FRONT EXTENSION" in text
    assert "BOTH SIDES" in text
    assert "CLICKS TIGHTER" in text
    assert (counted.prompts, counted.keys) == (29, 77)
