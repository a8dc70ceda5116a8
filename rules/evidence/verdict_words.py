"""A verdict in the crew's words: chances out of ten, never a bare number of the statistics."""

from collections.abc import Mapping, Sequence
from statistics import fmean

from rules.evidence.passes_needed import PassesNeeded
from rules.evidence.recommendation import Recommendation
from rules.evidence.verdict import Verdict, both_ran
from rules.wording import plural

_CERTAIN = ((0.995, "199 chances in 200"), (0.99, "99 chances in 100"), (0.95, "19 chances in 20"))

# Less than a slip shows.
SMALL_S = 0.001
# From so far on the slips' own difference is told beside the best guess.
TELLING_S = 0.005


def chances(chance: float) -> str:
    """Say a chance as so many in ten, rounded down, so that it never promises too much."""
    for least, words in _CERTAIN:
        if chance >= least:
            return words
    tenths = int(chance * 10.0 + 1e-9)
    if tenths == 0:
        return "less than 1 chance in 10"
    return f"{plural(tenths, 'chance')} in 10"


def short_chance(chance: float) -> str:
    """Say a chance in the fewest words: 7 in 10; rounded down as in `chances`."""
    return chances(chance).replace(" chances", "").replace(" chance", "")


def effect_words(verdict: Verdict) -> str:
    """Say the best guess with its range.

    0.012 s quicker; nine in ten from 0.021 s quicker to 0.002 s quicker.
    """
    low, high = verdict.effect.range
    mean = verdict.effect.mean
    return f"{_signed(mean)}; nine in ten from {_signed(low)} to {_signed(high)}"


def plain_words(verdict: Verdict, before: Sequence[float], after: Sequence[float]) -> str:
    """Say by how much the slips differ where the best guess is far from it; empty elsewhere.

    A crew works the difference of the slips out by itself, and wants to know why it is not said.
    """
    if not before or not after:
        return ""
    plain = fmean(after) - fmean(before)
    if abs(plain - verdict.effect.mean) < TELLING_S:
        return ""
    why = "air, lane and drift are weighed in"
    if abs(verdict.effect.mean) < abs(plain):
        passes = plural(len(before) + len(after), "pass")
        why = f"{passes} can be luck or drift, so less of it is believed"
    return f"The slips alone: {_signed(plain)}; {why}."


def _signed(seconds: float) -> str:
    if abs(seconds) < 0.0005:
        return "0.000 s"
    return f"{abs(seconds):.3f} s {'quicker' if seconds < 0 else 'slower'}"


def headline(
    verdict: Verdict, more: PassesNeeded | None = None, names: Mapping[str, str] | None = None
) -> str:
    """Say the verdict in one line; `names` is what the crew calls a setting, by setting."""
    if verdict.word == "helped":
        return f"Helped, {chances(verdict.quicker)}."
    if verdict.word == "hurt":
        return f"Hurt, {chances(1.0 - verdict.quicker)}."
    return f"Cannot tell: {_cannot(verdict, more, names or {})}."


def _cannot(verdict: Verdict, more: PassesNeeded | None, names: Mapping[str, str]) -> str:
    if not both_ran(verdict):
        missing = "without" if "A" not in verdict.design.letters else "with"
        return f"no clean pass {missing} it yet"
    if verdict.no_matter:
        return f"whatever it does is likely under {verdict.worth_s:.3f} s"
    if more is None:
        return leaning(verdict)
    count = len(more.settings)
    if not more.would_tell:
        if verdict.design.returned:
            return f"{leaning(verdict)}; {_more(count)} would likely not tell either"
        following = names.get(more.settings[0], more.settings[0])
        return f"{leaning(verdict)}; {_short(verdict)}; the next useful pass is one {following}"
    order = ", ".join(names.get(one, one) for one in more.settings)
    return f"{_more(count)} would ({order})"


def _short(verdict: Verdict) -> str:
    """Say in a few words what keeps the times from deciding."""
    if len(verdict.design.letters) == 2:
        return "A-B alone is worth little"
    return "never back, so drift can do this"


def _more(count: int) -> str:
    return "one more pass" if count == 1 else f"{count} more passes"


def leaning(verdict: Verdict) -> str:
    """Say which way it leans."""
    quicker = verdict.quicker
    if 1.0 / 3.0 <= quicker <= 2.0 / 3.0:
        return "it leans neither way"
    way, chance = ("quicker", quicker) if quicker > 0.5 else ("slower", 1.0 - quicker)
    return f"it looks {way}, {chances(chance)}"


def why_not(verdict: Verdict) -> str:
    """Say what keeps the times from deciding; empty where they did."""
    if verdict.word != "cannot tell":
        return ""
    if "B" not in verdict.design.letters or "A" not in verdict.design.letters:
        return f"{verdict.design.label}."
    if not verdict.design.returned and not verdict.drift_ruled_out:
        return f"{verdict.design.label}."
    if verdict.no_matter:
        return f"The difference is small beside {verdict.worth_s:.3f} s."
    return "The car's own scatter can do this."


def drift_words(verdict: Verdict) -> str:
    """Say what the day does by itself from pass to pass."""
    low, high = verdict.drift.range
    if low < 0.0 < high:
        return "No sure drift over the day."
    way = "quicker" if verdict.drift.mean < 0 else "slower"
    return f"The day drifts {abs(verdict.drift.mean):.3f} s {way} with each pass."


def recommendation_words(found: Recommendation) -> str:
    """Say which setting the times would have on the car, and how sure that is."""
    which = "with it" if found.setting == "new" else "without it"
    act = f"Back to the setting {which}" if found.turn else f"The setting {which}"
    if found.proven:
        return f"{act}: proven quicker, about {found.gain_s:.3f} s."
    if found.gain_s < SMALL_S:
        small = found.gain_s > -SMALL_S
        why = "no difference to speak of" if small else "a gain is too unsure yet"
        return f"{act}, the known one: {why}."
    return f"{act}: likelier quicker, {chances(found.chance)}, not proven."
