"""The air of a pass as a page: what it is, what of the times it explains, the next round."""

from operator import attrgetter

from rules.advice.earlier_times import earlier_times
from rules.advice.timed_passes import Timed, pass_times, setting_name, stands_now
from rules.evidence.priors import for_elapsed, for_sixty
from rules.log import conditions
from rules.log.engine import breathing_of, is_said
from rules.log.state import Run, State
from rules.passes.air import MoistAir
from rules.passes.air_effect import air_part, told
from rules.passes.breathing import CALLED
from rules.passes.slip import FIELDS
from rules.units import FOOT_M, INCH_OF_MERCURY_PA, POUND_KG, UNITS, Quantity, from_si
from rules.wording import capital
from tui.lines import labelled, spoken, system

STRIPE = ("quarter_s", "thousand_s", "eighth_s")
NO_PASS = "No pass is in the log yet: note the air after it."


def air_lines(state: State, width: int) -> list[str]:
    """Return the page of the air of the last pass."""
    if not state.runs:
        return [NO_PASS]
    rows: list[str] = []
    for label, text in air_parts(state):
        rows += labelled(label, spoken(state, text), width)
    return rows


def air_parts(state: State) -> list[tuple[str, str]]:
    """Return what the air of the last pass is and does, as label and text."""
    run = state.runs[-1]
    noted = run.conditions
    if noted is None:
        return [("Air", f"Nothing is noted for pass {run.number} yet: a notes it.")]
    parts = [("Noted", "; ".join(conditions.shown(noted)) + f" (pass {run.number}).")]
    try:
        now = conditions.air_of(noted)
    except ValueError as error:
        return [*parts, ("No density", f"{error}. The times are compared without the air.")]
    return [*parts, *_air(state, now), *_explained(state, run, now), *_next_round(state, now)]


def _air(state: State, now: MoistAir) -> list[tuple[str, str]]:
    units = system(state)
    height = from_si(now.density_altitude_m, Quantity.ELEVATION, units)
    vapour = now.vapour_pressure_pa
    station, us = now.station_pressure_pa, units == "us"
    size, unit = (INCH_OF_MERCURY_PA, "inHg") if us else (100.0, "hPa")
    shown = f"{vapour / size:.{3 if us else 1}f} {unit}"
    at_track = f"{station / size:.{2 if us else 1}f} {unit}"
    name = UNITS[Quantity.ELEVATION, units].name
    return [
        ("Density", density_words(now.density_kg_m3, now.dry_density_kg_m3, us=us)),
        ("Altitude", f"Density altitude {height:.0f} {name}; station pressure {at_track}."),
        ("Water", f"{shown} of the pressure is water vapour: the engine cannot burn with it."),
    ]


def density_words(moist: float, dry: float, *, us: bool) -> str:
    """Say densities [kg/m3] in the crew's unit: pounds to the cubic foot, or SI."""
    size, unit, places = (POUND_KG / FOOT_M**3, "lb/ft3", 5) if us else (1.0, "kg/m3", 4)
    return f"{moist / size:.{places}f} {unit}, of it dry {dry / size:.{places}f}."


def _explained(state: State, run: Run, now: MoistAir) -> list[tuple[str, str]]:
    """Say what the air does to the times since the first pass of this meeting with air."""
    earlier = [
        (one, air)
        for one in state.runs_at(run.meeting)
        if one.id != run.id and (air := conditions.air_at(one))
    ]
    if not earlier:
        return [("Explains", "Nothing to compare with: no other pass here has its air noted.")]
    first, then = earlier[0]
    parts = []
    breathing = breathing_of(state)
    key = next((k for k in STRIPE if run.slip and getattr(run.slip, k) is not None), None)
    if key is not None and run.slip is not None:
        elapsed: float = getattr(run.slip, key)
        part = air_part(elapsed, then.dry_density_kg_m3, now.dry_density_kg_m3, breathing=breathing)
        scatter = for_elapsed(elapsed).scatter_s
        parts.append(
            ("Explains", f"Since pass {first.number}, {FIELDS[key].label}: {told(part, scatter)}")
        )
    sixty = run.sixty_s
    if sixty is not None:
        part = air_part(sixty, then.dry_density_kg_m3, now.dry_density_kg_m3, True, breathing)
        said = told(part, for_sixty(sixty).scatter_s)
        parts.append(("" if parts else "Explains", f"60-foot, nearly free of the air: {said}"))
    return parts or [("Explains", "This pass has no slip yet: s notes it.")]


def _next_round(state: State, now: MoistAir) -> list[tuple[str, str]]:
    """Say what the next pass may run on the settings of now, in its air where that is noted."""
    from rules.evidence.next_round import expected_next

    setting, breathing = setting_name(stands_now(state)), breathing_of(state)
    coming, lane = _coming(state, now)
    parts: list[tuple[str, str]] = []
    for keys in (STRIPE, ("sixty_s",)):
        for key in keys:
            timed: Timed = attrgetter(key)
            times = pass_times(state, state.meeting.id if state.meeting else None, timed)
            if not any(one.clean and one.setting == setting for one in times):
                continue
            sixty = key == "sixty_s"
            expected = expected_next(
                times,
                setting,
                coming.dry_density_kg_m3,
                lane,
                sixty=sixty,
                earlier=earlier_times(state, timed),
                breathing=breathing,
            )
            told = f"{FIELDS[key].label}: {expected.words}"
            told += "" if sixty else " You choose the dial-in; this only informs."
            parts.append(("" if parts else "Next", told))
            break
    engine = "how it breathes is not known" if is_said(state) else "not said yet, a asks it once"
    engine = CALLED[breathing] if breathing else engine
    said = f"{capital(engine)}; its own passes teach what the air does to it."
    nothing = [("Next", "No clean pass on these settings yet: nothing to expect from.")]
    return [*parts, ("Engine", said)] if parts else nothing


def _coming(state: State, now: MoistAir) -> tuple[MoistAir, str | None]:
    """Return air and lane of the pass that comes; the last one's air where none is noted."""
    noted = state.coming
    if noted is None:
        return now, None
    try:
        return conditions.air_of(noted), noted.lane
    except ValueError:
        return now, noted.lane
