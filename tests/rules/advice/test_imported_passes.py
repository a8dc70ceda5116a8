"""Imports teach: the car's scatter, its answer to the air and the width of its forecast."""

from datetime import UTC, datetime, timedelta

from rules.advice.earlier_times import earlier_times
from rules.advice.timed_passes import imported_times, sixty_of
from rules.evidence.next_round import expected_next
from rules.evidence.passes import PassTime
from rules.log.events.passes import ConditionsNoted, PassImported
from rules.log.state import State
from rules.passes.slip import Slip
from tests.support.crew import Crew

FIRST = datetime(2030, 5, 4, 10, 0, tzinfo=UTC)
NOISE = (0.004, -0.009, 0.006, -0.003, 0.010, -0.007, 0.001, -0.010)
TODAY = [PassTime(n, "today", 9.50, air_density=1.15) for n in range(3)]


def imported(noise: float, answer: float) -> State:
    """Four days of eight passes, each cooling from 32 to 18 C, a degree worth so much [s]."""
    crew = Crew()
    crew.record(
        PassImported(
            imported=f"k{day}-{n}",
            when=FIRST + timedelta(days=day, minutes=30 * n),
            slip=Slip(eighth_s=9.5 + noise * NOISE[(n + day) % 8] - answer * 2.0 * n),
            conditions=ConditionsNoted(
                run=f"k{day}-{n}",
                units="metric",
                air_temperature=32.0 - 2.0 * n,
                humidity=50.0,
                pressure=1000.0,
                pressure_kind="station pressure",
            ),
        )
        for day in range(4)
        for n in range(8)
    )
    return crew.state


def eighth_of(slip: Slip) -> float | None:
    return slip.eighth_s


def width(state: State) -> float:
    found = expected_next(TODAY, "today", 1.15, earlier=earlier_times(state, eighth_of))
    return found.high - found.low


def test_their_air_comes_along() -> None:
    state = imported(1.0, 0.0)
    times = imported_times(state, eighth_of)
    assert len(times) == 32
    assert all(one.air_density is not None for one in times)
    assert times[0].air_density < times[7].air_density  # type: ignore[operator]
    assert imported_times(state, sixty_of) == []


def test_a_steady_history_narrows_the_forecast_and_a_wild_one_widens_it() -> None:
    alone = expected_next(TODAY, "today", 1.15)
    assert width(imported(0.5, 0.0)) < alone.high - alone.low < width(imported(8.0, 0.0))


def test_they_teach_what_the_air_does_to_this_car() -> None:
    """Denser by 5 %: what a car gained by it before is foretold."""
    foretold = [
        expected_next(TODAY, "today", 1.2075, earlier=earlier_times(imported(1.0, one), eighth_of))
        for one in (0.0, 0.015)
    ]
    still, gains = (one.air for one in foretold)
    assert still is not None
    assert gains is not None
    assert gains.seconds < still.seconds - 0.05
