"""The air of a pass as a page: what it is, what of the times it explains, the next round."""

from rules.advice.change_evidence import is_counted, setting_name
from rules.evidence.passes import PassTime
from rules.evidence.priors import for_elapsed, for_sixty
from rules.log import conditions
from rules.log.state import Run, State
from rules.passes.air import MoistAir
from rules.passes.air_effect import air_part, told
from rules.passes.slip import FIELDS, Slip
from rules.units import INCH_OF_MERCURY_PA, UNITS, Quantity, from_si
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
        ("Density", f"{now.density_kg_m3:.4f} kg/m3, of it dry {now.dry_density_kg_m3:.4f}."),
        ("Altitude", f"Density altitude {height:.0f} {name}; station pressure {at_track}."),
        ("Vapour", f"{shown} of the pressure is water vapour: the engine cannot burn with it."),
    ]


def _explained(state: State, run: Run, now: MoistAir) -> list[tuple[str, str]]:
    """Say what the air does to the times since the first pass of this meeting with air."""
    earlier = [
        (one, air)
        for one in state.runs
        if one.meeting == run.meeting and one.id != run.id and (air := conditions.air_at(one))
    ]
    if not earlier:
        return [("Explains", "Nothing to compare with: no other pass here has its air noted.")]
    first, then = earlier[0]
    parts = []
    key = next((k for k in STRIPE if run.slip and getattr(run.slip, k) is not None), None)
    if key is not None and run.slip is not None:
        elapsed: float = getattr(run.slip, key)
        part = air_part(elapsed, then.dry_density_kg_m3, now.dry_density_kg_m3)
        scatter = for_elapsed(elapsed).scatter_s
        parts.append(
            ("Explains", f"Since pass {first.number}, {FIELDS[key].label}: {told(part, scatter)}")
        )
    sixty = run.sixty_s
    if sixty is not None:
        part = air_part(sixty, then.dry_density_kg_m3, now.dry_density_kg_m3, sixty=True)
        said = told(part, for_sixty(sixty).scatter_s)
        parts.append(("" if parts else "Explains", f"60-foot, nearly free of the air: {said}"))
    return parts or [("Explains", "This pass has no slip yet: s notes it.")]


def _next_round(state: State, now: MoistAir) -> list[tuple[str, str]]:
    """Say what the next pass may run on the settings of now, in the air of now."""
    from rules.evidence.next_round import expected_next

    setting = setting_name(state.settings)
    meeting = state.meeting.id if state.meeting else None
    runs = [run for run in state.runs if run.meeting == meeting]
    parts: list[tuple[str, str]] = []
    for keys in (STRIPE, ("sixty_s",)):
        for key in keys:
            times = [one for run in runs if (one := _time(run, key))]
            mine = [one.value_s for one in times if one.clean and one.setting == setting]
            if not mine:
                continue
            typical, sixty = sum(mine) / len(mine), key == "sixty_s"
            priors = for_sixty(typical) if sixty else for_elapsed(typical)
            dry = now.dry_density_kg_m3
            expected = expected_next(times, setting, priors, dry, sixty=sixty)
            told = f"{FIELDS[key].label}: {expected.words}"
            told += "" if sixty else " You choose the dial-in; this only informs."
            parts.append(("" if parts else "Next", told))
            break
    return parts or [("Next", "No clean pass on these settings yet: nothing to expect from.")]


def _time(run: Run, key: str) -> PassTime | None:
    slip = run.slip or Slip()
    value = run.sixty_s if key == "sixty_s" else getattr(slip, key)
    if value is None:
        return None
    air = conditions.air_at(run)
    return PassTime(
        run.number,
        setting_name(run.settings),
        value,
        is_counted(run),
        air.dry_density_kg_m3 if air else None,
        run.lane,
    )
