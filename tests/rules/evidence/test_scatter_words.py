"""A crew reads of the scatter where it comes from: three passes never showed it."""

from rules.evidence.car_noise import learnt
from rules.evidence.memory import remembered
from rules.evidence.model import fit
from rules.evidence.passes import PassTime
from rules.evidence.priors import for_sixty
from rules.evidence.scatter_words import scatter_words
from rules.evidence.verdict import judge_fit
from rules.evidence.verdict_words import headline, why_not

USUAL = for_sixty(1.40)


def ran(times: str, order: str) -> tuple[PassTime, ...]:
    pairs = zip(times.split(), order, strict=True)
    return tuple(PassTime(n, letter, float(time)) for n, (time, letter) in enumerate(pairs))


def test_two_equal_times_do_not_look_like_a_scatter_that_was_measured() -> None:
    """1.400, 1.340, 1.400: nothing of that day scatters, so the number has to say whose it is."""
    day = fit(ran("1.400 1.340 1.400", "ABA"), USUAL)
    said = scatter_words(day)
    assert said.startswith("Taken as 0.01")
    assert said.endswith("that of usual cars: 1 repeat of a setting cannot show it.")
    told = judge_fit(day, "A", "B", None)
    assert "0.01" not in f"{headline(told)} {why_not(told)}"


def test_without_a_repeat_nothing_shows_it() -> None:
    assert "no setting was run twice yet" in scatter_words(fit(ran("1.400 1.340", "AB"), USUAL))


def test_a_log_without_another_day_has_taught_nothing() -> None:
    """Its first meeting names the usual cars, not other days that there never were."""
    first = remembered(ran("1.400 1.340 1.400", "ABA"), "").fit(USUAL)
    assert "that of usual cars" in scatter_words(first)


def test_what_other_days_showed_is_named_so() -> None:
    steady = ran("1.401 1.400 1.402 1.401 1.400 1.401 1.402 1.400", "AAAAAAAA")
    said = scatter_words(fit(ran("1.400 1.340 1.400", "ABA"), learnt(USUAL, [steady])))
    assert said.startswith("Taken as 0.00")
    assert "from its other days" in said


def test_many_repeats_show_it() -> None:
    times = "1.400 1.412 1.395 1.404 1.389 1.407 1.398 1.402"
    assert scatter_words(fit(ran(times, "ABABABAB"), USUAL)).endswith("by 6 repeats.")
