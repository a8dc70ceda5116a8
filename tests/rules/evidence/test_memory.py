"""What other days of the car are worth: they join the comparison, or say how the car scatters."""

from rules.evidence.car_noise import learnt
from rules.evidence.memory import MEETINGS, OTHERS, OWN, remembered
from rules.evidence.passes import PassTime
from rules.evidence.priors import for_sixty
from rules.evidence.verdict import judge_fit

SIXTY = for_sixty(1.40)
NOISE = (0.004, -0.009, 0.006, -0.003, 0.010, -0.007, 0.001, -0.010, 0.008, 0.000, -0.005, 0.005)


def meeting(
    name: str, order: str, first: int, level: float = 1.40, quicker: float = 0.0, noise: float = 1.0
) -> list[PassTime]:
    return [
        PassTime(
            first + n,
            letter,
            level + noise * NOISE[(first + n) % 12] - quicker * (letter == "B"),
            meeting=name,
        )
        for n, letter in enumerate(order)
    ]


def test_a_meeting_that_ran_both_settings_joins_with_a_level_of_its_own() -> None:
    """Its level is 0.15 s off, which moves nothing; its passes make the effect surer."""
    today = meeting("today", "ABA", 20, quicker=0.030)
    before = meeting("spring", "ABBA", 0, level=1.55, quicker=0.030)
    alone = remembered(today, "today", ("A", "B")).fit(SIXTY)
    joined = remembered([*before, *today], "today", ("A", "B"))
    assert [one.meeting for one in joined.elsewhere] == ["spring"] * 4
    both = joined.fit(SIXTY)
    assert both.effect("A", "B").sd < 0.9 * alone.effect("A", "B").sd
    assert -0.045 < both.effect("A", "B").mean < -0.020
    assert both.passes == tuple(today)


def test_a_meeting_of_one_of_the_settings_says_nothing_of_their_difference() -> None:
    today = meeting("today", "ABA", 20)
    found = remembered([*meeting("spring", "AAAA", 0), *today], "today", ("A", "B"))
    assert found.elsewhere == ()
    assert [len(one) for one in found.others] == [4]


def test_changed_at_one_meeting_and_back_at_another_is_a_way_back() -> None:
    spring = meeting("spring", "AABB", 0, quicker=0.060)
    today = meeting("today", "BBAA", 20, quicker=0.060)
    known = remembered([*spring, *today], "today", ("A", "B")).fit(SIXTY)
    found = judge_fit(known, "A", "B", None)
    assert found.elsewhere == ("AABB",)
    assert found.word == "helped"
    same_way = meeting("today", "AABB", 20, quicker=0.060)
    known = remembered([*spring, *same_way], "today", ("A", "B")).fit(SIXTY)
    assert judge_fit(known, "A", "B", None).word == "cannot tell"


def test_other_days_teach_the_scatter() -> None:
    """Six days of a steady car and of a wild one; the middle of what is believed moves there."""
    days = [
        tuple(meeting(f"{n}", "CCCCCCC", 7 * n, level=1.4 + 0.01 * n, noise=0.5)) for n in range(6)
    ]
    steady = learnt(SIXTY, days)
    wild = learnt(
        SIXTY,
        [tuple(meeting(f"{n}", "CCCCCCC", 7 * n, noise=4.0)) for n in range(6)],
    )
    assert steady.scatter_s < 0.007 < 0.018 < wild.scatter_s
    assert abs(sum(one.weight for one in steady.noises) - 1.0) < 1e-9
    assert learnt(SIXTY, []).scatter_s == SIXTY.scatter_s


def test_what_is_looked_through_is_bounded() -> None:
    """A page costs no more after a thousand passes."""
    log = [
        one for n in range(120) for one in meeting(f"m{n}", "ABBAABBA" if n % 2 else "C" * 8, 8 * n)
    ]
    today = meeting("today", "AB" * 50, 2000)
    found = remembered([*log, *today], "today", ("A", "B"))
    assert len(found.own) <= OWN
    assert found.own[-1] == today[-1]
    assert len({one.meeting for one in found.elsewhere}) == MEETINGS
    assert sum(map(len, found.others)) <= OTHERS
    assert found.elsewhere[-1].meeting == "m119"


def test_a_change_of_long_ago_keeps_its_own_passes() -> None:
    """A crew that never opens a meeting has one endless day."""
    old = meeting("", "ABAB", 5, quicker=0.030)
    endless = [*meeting("", "C" * 5, 0), *old, *meeting("", "D" * 200, 9)]
    found = remembered(endless, "", ("A", "B"))
    assert set(old) <= set(found.own)
    assert len(found.own) <= OWN


def in_air(name: str, first: int, answer: float) -> list[PassTime]:
    """Eight passes of a day that cools, each per cent of denser air worth the answer [s] a unit."""
    return [
        PassTime(
            first + n,
            "C",
            1.40 + 0.3 * NOISE[n] + answer * 0.01 * n,
            air_density=1.15 * (1.0 + 0.01 * n),
            meeting=name,
        )
        for n in range(8)
    ]


def test_other_days_teach_the_answer_to_the_air() -> None:
    """Believed before: about -0.035 s a unit of density; these days say -0.150, then nothing."""
    believed = learnt(SIXTY, [])
    assert (believed.air_mean, believed.air_sd) == (SIXTY.air_mean, SIXTY.air_sd)
    strong = learnt(SIXTY, [tuple(in_air(f"{n}", 8 * n, -0.150)) for n in range(6)])
    assert -0.150 < strong.air_mean < SIXTY.air_mean
    assert strong.air_sd < SIXTY.air_sd
    still = [tuple(meeting(f"{n}", "C" * 8, 8 * n)) for n in range(6)]
    assert learnt(SIXTY, still).air_mean == SIXTY.air_mean


def test_a_long_day_teaches_every_noise() -> None:
    """What a day rules out is weighed with the other days."""
    found = learnt(SIXTY, [tuple(meeting("long", "C" * 40, 0))])
    assert len(found.noises) == len(SIXTY.noises)


def test_an_endless_meeting_stands_no_deeper_than_a_day() -> None:
    """600 passes of one meeting are judged; each is taken in on top of those before it."""
    today = meeting("today", "AB" * 300, 0, quicker=0.030)
    known = remembered(today, "today", ("A", "B")).fit(SIXTY)
    assert judge_fit(known, "A", "B", None).word != "cannot tell"
