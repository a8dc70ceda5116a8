"""What the launch model expects, in one short paragraph of the crew's units."""

from collections.abc import Iterator

from rules.car.fact import Fact
from rules.car.usual import FACTS
from rules.launch.proposed_change import Effect, Expected, Measure, Range
from rules.units import FOOT_M, INCH_M, POUND_FORCE_N, System, localise
from rules.wording import capital, ends

LONGEST = 136
ROOMY = 196
CAVEAT = "Not in it: slip, torque, roll."
LEARNT_CAVEAT = "Not in it: torque, roll."
# What a clock shows of a turn's cost [s], and the words before it.
SHOWS_S, GIVES_AWAY = 0.01, "It gives away about"
# What stands before a range.
_SAYS = {
    "landing travel": "front lands using",
    "lift": "front tyres reach",
    "air time": "in the air for",
    "carry": "carries for",
    "landing load": "front lands with",
    "bounce": "bounces by",
    "top-out force": "tops out with",
    "front rise": "front up at 0.2 s by",
    "nose at 3 s": "nose up at 3 s by",
    "settle": "settles by",
    "rear droop used": "rear extends by",
    "rear squat": "rear squats by",
    "least rear load": "least rear load",
    "60-foot": "60-foot",
}
SEEN = ("lift", "landing travel", "air time", "carry", "nose at 3 s", "60-foot")
_ASIDE = ("landing travel", "lift", "settle", "least rear load", "60-foot")
_MOSTLY = 0.5
_UNITS: dict[tuple[Measure, System], tuple[float, str, int]] = {
    ("length", "metric"): (0.001, "mm", 0),
    ("length", "us"): (INCH_M, "in", 1),
    ("distance", "metric"): (1.0, "m", 0),
    ("distance", "us"): (FOOT_M, "ft", 0),
    ("force", "metric"): (1000.0, "kN", 1),
    ("force", "us"): (POUND_FORCE_N, "lb", -1),
    ("time", "metric"): (1.0, "s", 2),
    ("time", "us"): (1.0, "s", 2),
}


def measure_words(key: str) -> str:
    """Say a key of the car file as something to measure."""
    end, _, name = key.partition(".")
    fact = FACTS.get(key, Fact())
    return fact.to_measure or fact.name or f"{end} {name.replace('_', ' ')}".strip()


def expected_text(expected: Expected, system: System, longest: int = LONGEST) -> str:
    """Return what the model expects, at most `longest` characters, side effects as room allows."""
    must = [*_goal(expected, system), _verdict(expected)]
    if expected.standing in ("agrees", "disagrees"):
        must.append(CAVEAT if expected.fits else LEARNT_CAVEAT)
    said = list(must)
    for aside in _asides(expected, system):
        longer = [*must[:1], *said[1 : len(said) - len(must) + 1], aside, *must[1:]]
        if len(" ".join(longer)) > longest:
            break
        said = longer
    return localise(" ".join(said), system)


def to_see(expected: Expected, system: System, ratio: float | None) -> list[str]:
    """Return what the crew can see, read or time of the coming pass, a row each, in its units.

    ratio: damper travel over wheel travel of the front [-], without which the O-ring is told as
    travel of the wheel.
    """
    if expected.standing not in ("agrees", "disagrees"):
        return []
    found = {one.name: one for one in expected.effects}
    ring = found.get("landing travel")
    if ring is not None and ratio is not None:
        found["landing travel"] = ring.model_copy(
            update={"before": _times(ring.before, ratio), "after": _times(ring.after, ratio)}
        )
    read = "O-ring" if ratio is not None else "O-ring, at the wheel"
    says = {
        "lift": "Front tyres up",
        "landing travel": read,
        "air time": "In the air",
        "carry": "Down again at",
        "nose at 3 s": "Nose up at 3 s",
        "60-foot": "60-foot",
    }
    rows = [_row(says[name], found[name], system) for name in SEEN if name in found]
    return [*rows, "Each range is said to hold 8 times in 10."] if rows else []


def _times(one: Range, size: float) -> Range:
    return Range(low=one.low * size, middle=one.middle * size, high=one.high * size)


def _row(says: str, effect: Effect, system: System) -> str:
    after, before = (
        range_words(one, effect.measure, system) for one in (effect.after, effect.before)
    )
    return f"{says} {after} {_UNITS[effect.measure, system][1]}; unchanged {before}."


def expected_details(expected: Expected, system: System) -> list[tuple[str, str]]:
    """Return what else the model said, by label, for who wants to know why: see `to_see`."""
    rows = []
    if expected.effects:
        seen = f"{round(100 * expected.fits)} % of the cars it was tried on do what was seen. "
        seen = seen if expected.fits else "The cars are those that all passes so far left. "
        step = f"Enough on {round(100 * expected.enough)} %: {expected.reason}."
        rows.append(("How sure", seen + step))
    told = SEEN if to_see(expected, system, None) else ()
    for effect in expected.effects:
        if effect.name in _SAYS and effect.name not in told:
            way = "less" if effect.less >= effect.more else "more"
            share = round(100 * max(effect.less, effect.more))
            sure = f"{way} on {share} %" if share >= 1 else "no change"
            rows.append(("", f"{_change(effect, system, 'was')} ({sure})"))
    if expected.measure_first:
        first = ", ".join(measure_words(key) for key in expected.measure_first)
        rows.append(("Narrower", f"Measure first: {first}."))
    if expected.not_modelled:
        rows.append(("Left out", f"Off its start: {', '.join(expected.not_modelled)}."))
    return rows


def gives_away(slower: float) -> str:
    """Say what a turn gives away at 60 feet [s], where a clock shows it; empty otherwise."""
    return f"{GIVES_AWAY} {slower:.2f} s at 60 ft." if slower >= SHOWS_S else ""


def given_away(text: str) -> str:
    """Return what `gives_away` said in a text, as in "0.09 s at 60 ft"; empty where it did not."""
    _, _, told = text.partition(f"{GIVES_AWAY} ")
    return told[: told.find(" ft") + 3] if told else ""


def foretold_text(name: str, measure: Measure, said: Range, found: float, system: System) -> str:
    """Say what was foretold of a number and what came, in the crew's units."""
    size, unit, places = _UNITS[measure, system]
    places = 3 if measure == "time" else places
    low, high, came = (_written(one / size, places) for one in (said.low, said.high, found))
    return f"{_SAYS[name]} {ends(low, high, places)} {unit}; came {came}"


def _goal(expected: Expected, system: System) -> Iterator[str]:
    effect = expected.effect(expected.goal)
    if effect is None or expected.standing not in ("agrees", "disagrees"):
        return
    same = range_words(effect.before, effect.measure, system) == range_words(
        effect.after, effect.measure, system
    )
    text = f"{effect.name} hardly changes" if same else _change(effect, system, "instead of")
    left = expected.effect("travel left")
    if effect.name == "landing travel" and left is not None:
        room = number_words(left.after.low, "length", system)
        unit = _UNITS["length", system][1]
        there = f"{room} {unit} left" if float(room) > 0.0 else "may meet the stop"
        text = f"{text}; {there}"
    yield f"{capital(text)}."


def _asides(expected: Expected, system: System) -> Iterator[str]:
    if expected.standing not in ("agrees", "disagrees"):
        return
    if expected.leaves_model > 0.1:
        yield f"{round(10 * expected.leaves_model)} in 10 such cars still go over."
    for name in _ASIDE:
        effect = expected.effect(name)
        if effect is None or name == expected.goal or max(effect.less, effect.more) < _MOSTLY:
            continue
        if range_words(effect.before, effect.measure, system) == range_words(
            effect.after, effect.measure, system
        ):
            continue
        text = _change(effect, system, "was")
        yield f"{capital(text)}."


def _change(effect: Effect, system: System, instead: str) -> str:
    """Say a range and the one before it; the unit once."""
    after = range_words(effect.after, effect.measure, system)
    unit = _UNITS[effect.measure, system][1]
    before = range_words(effect.before, effect.measure, system)
    joint = f" {instead} " if instead == "instead of" else f", {instead} "
    return f"{_SAYS[effect.name]} {after} {unit}{joint}{before}"


def unit_of(measure: Measure, system: System) -> str:
    """Return the unit a number of the launch is told in."""
    return _UNITS[measure, system][1]


def range_words(one: Range, measure: Measure, system: System) -> str:
    """Write a range without its unit; one number where both ends are written alike."""
    low, high = (number_words(value, measure, system) for value in (one.low, one.high))
    return ends(low, high, _UNITS[measure, system][2])


def number_words(value: float, measure: Measure, system: System) -> str:
    """Write a number [SI] in the crew's unit, without the unit."""
    size, _, places = _UNITS[measure, system]
    return _written(value / size, places)


def _written(value: float, places: int) -> str:
    # Adding zero turns a rounded -0 into 0.
    return f"{round(value, places) + 0.0:.{max(places, 0)}f}"


def _verdict(expected: Expected) -> str:
    match expected.standing:
        case "agrees" if expected.step < expected.trade_step:
            return f"Likely enough; trade step {expected.trade_step}."
        case "agrees":
            return f"{capital(expected.reason)}."
        case "disagrees":
            half = ": half the step" if expected.step < expected.trade_step else ""
            return f"Against the rule{half}."
        case "small effect":
            return f"Small effect: {expected.reason}; the trade's step."
        case "unsure":
            return f"Unsure: {expected.reason}; the trade's step."
        case "not modelled":
            return f"No say: {expected.reason}."
        case "too little known":
            said = f"No say: {expected.reason}. Measure first: "
            words = [measure_words(key) for key in expected.measure_first]
            while len(said) + len(", ".join(words)) >= LONGEST:
                words.pop()
            return f"{said}{', '.join(words)}."
