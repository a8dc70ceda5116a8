"""What a page of the rule book may say, and how long it may say it.

Lengths are limits of the 80 by 24 screen: an advice is shown whole or it is not shipped.
"""

from typing import Annotated, Literal

from rules.book.facts import ALWAYS, Condition
from rules.car.adjusters import DIRECTIONS, Direction
from rules.car.model import AxleEnd, Controls, LeverKind, RearSuspension
from rules.formats import RULE_FORMAT
from rules.part import FilePart, FirstThatFits, Within, said
from rules.question import UNKNOWN

Id = Annotated[str, Within(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=48)]
Label = Annotated[str, Within(min_length=3, max_length=60)]
Line = Annotated[str, Within(min_length=3, max_length=72)]
Lines = Annotated[str, Within(min_length=3, max_length=132)]


class BookPart(FilePart):
    """A part of the book."""


class ChoiceText(BookPart):
    """One answer of a prompt."""

    id: Id
    label: Label


class PromptText(BookPart):
    """A question the book may ask after a symptom was named.

    `standing` says that `measure` needs no pass, so that it may be asked for after danger too.
    `today` says where the car still shows it after a pass on which nobody looked.
    """

    id: Id
    question: Label
    hint: Line = "   "
    measure: Lines
    today: Annotated[str, Within(max_length=132)] = ""
    standing: bool = False
    choices: tuple[ChoiceText, ...] = said(min_length=2, max_length=8)


class ItemText(BookPart):
    """One thing to look at."""

    id: Id
    label: Annotated[str, Within(min_length=3, max_length=66)]


class InspectionText(BookPart):
    """A list to tick; not asked again until the next reason to.

    `lasts` says what the ticks are good for: the pass that gave the reason, or the meeting.
    """

    id: Id
    title: Label
    why: Lines
    lasts: Literal["pass", "meeting"] = "pass"
    items: tuple[ItemText, ...] = said(min_length=1, max_length=8)


class Ask(BookPart):
    """A prompt to ask for this symptom, where `when` holds."""

    prompt: Id
    when: Condition = ALWAYS


class Rung(BookPart):
    """One step of a ladder past the knobs, where `when` holds.

    `part`, `axle` and `direction` say what it sets, `controls` and `speed` which stroke alone of a
    valving, so that the gates refuse it as they would that turn. `lifts` says of one that no lever
    of a car file is that it may let the front rise more.
    """

    text: Label
    part: LeverKind | None = None
    axle: Literal["front", "rear", "car"] = "car"
    direction: Direction | None = None
    controls: Controls | None = None
    speed: Literal["low", "high", "any"] = "any"
    lifts: bool = False
    when: Condition = ALWAYS

    def check(self) -> None:
        if (self.part is None) != (self.direction is None):
            raise ValueError("a rung that sets something needs part and direction")
        if self.controls is not None and self.part != "valving":
            raise ValueError("controls of a rung belongs to a valving")
        if self.lifts and self.part is not None:
            raise ValueError("lifts belongs to a rung that sets no lever; else its part says it")
        if self.part is not None and self.direction not in DIRECTIONS[self.part]:
            one, other = DIRECTIONS[self.part]
            raise ValueError(f"direction of a {self.part} is {one} or {other}")


def texts_are_rungs(ladder: object) -> object:
    """Take a rung that is its text alone, as crews write them."""
    if not isinstance(ladder, list | tuple):
        return ladder
    return [{"text": rung} if isinstance(rung, str) else rung for rung in ladder]


class SymptomText(BookPart):
    """What the crew can say the car did.

    `safety` ranks first (0: no danger by itself), then `settled_first`: it spoils what the pass
    says of any other; then `cause`: lower comes earlier in the pass. `place` orders the pick list.
    A rung of `ladder` may be its text alone. `never_ticked` is what stays of `never` once a list
    of it was ticked.
    """

    id: Id
    name: Label
    place: int = said(ge=1, le=99)
    safety: int = said(default=0, ge=0, le=100)
    cause: int = said(ge=1, le=99)
    settled_first: bool = False
    asks: tuple[Ask, ...] = said(default=(), max_length=6)
    inspection: Id | None = None
    never: Line | None = None
    never_ticked: Line | None = None
    ladder: Annotated[tuple[Rung, ...], Within(texts_are_rungs, max_length=8)] = ()


class KnobLever(BookPart):
    """A damper knob, by what it controls.

    `all_speeds` says whether a knob that moves every speed may stand in for the one named.
    """

    part: Literal["knob"]
    axle: AxleEnd
    controls: Controls
    speed: Literal["low", "high", "any"] = "any"
    all_speeds: Literal["accept", "refuse"] = "accept"


class OtherLever(BookPart):
    """Any other lever of the car."""

    part: LeverKind
    axle: Literal["front", "rear", "car"] = "car"


LeverText = Annotated[KnobLever | OtherLever, FirstThatFits()]


class ExampleCar(BookPart):
    """How the car of an example differs from the plain one: everything fitted, all at middle.

    measured_valvings: dyno tables are known of the front valving and of a firmer one.
    """

    rear_suspension: RearSuspension = "four-link"
    wheelie_bars: bool = False
    at: Literal["middle", "soft end", "hard end", "near hard end"] = "middle"
    without: tuple[Literal["low speed knobs", "high speed knobs", "knobs", "levers"], ...] = ()
    measured_valvings: bool = False


class Example(BookPart):
    """Answers (prompt id to choice id, all other prompts unasked) and what was tried before."""

    answers: dict[str, str] = said(default_factory=dict)
    car: ExampleCar = ExampleCar()
    tried: dict[str, Literal["gone", "better", "same", "worse", "past"]] = said(
        default_factory=dict
    )


class RuleText(BookPart):
    """One thing to do about a symptom, with its reason and its own examples."""

    id: Id
    status: Literal["active", "draft", "retired"] = "active"
    symptom: Id
    order: int = said(ge=1, le=999)
    when: Condition = ALWAYS
    do: Literal["turn", "inspect", "leave", "control", "stop"] = "turn"
    lever: LeverText | None = None
    direction: Direction | None = None
    first_step: Literal["full", "half", "one"] = "full"
    crews_differ: bool = False
    inspection: Id | None = None
    cause: Lines
    why: Lines
    expect: Lines
    look_for: Lines
    put_back_if: Lines
    overshoot: tuple[Id, ...] = ()
    wrong_when: tuple[Lines, ...] = said(min_length=1, max_length=3)
    minutes: int = said(default=5, ge=0, le=600)
    tools: Annotated[str, Within(max_length=48)] = "none"
    caution: Lines
    basis: Annotated[str, Within(min_length=3, max_length=60)]
    fires: tuple[Example, ...] = said(min_length=1)
    silent: tuple[Example, ...] = said(min_length=1)

    def check(self) -> None:
        if self.do == "turn":
            if self.lever is None or self.direction is None:
                raise ValueError("a rule that turns something needs lever and direction")
            if self.direction not in DIRECTIONS[self.lever.part]:
                one, other = DIRECTIONS[self.lever.part]
                raise ValueError(f"direction of a {self.lever.part} is {one} or {other}")
        elif self.lever is not None or self.direction is not None:
            raise ValueError(f"a rule that says '{self.do}' has no lever and no direction")
        if (self.do == "inspect") != (self.inspection is not None):
            raise ValueError("inspection belongs to rules that say 'inspect', and they need one")
        if any(word.casefold() == UNKNOWN for word in self.wrong_when):
            raise ValueError("wrong_when must name a way to be wrong, never 'unknown'")


class BookFile(BookPart):
    """A file of the book: any of these, most often one symptom with its rules."""

    format: int = said(key=RULE_FORMAT.key, default=1)
    symptom: SymptomText | None = None
    rule: tuple[RuleText, ...] = ()
    prompt: tuple[PromptText, ...] = ()
    inspection: tuple[InspectionText, ...] = ()
