"""The second half of a day on other cars: split knobs, leaf springs, radials, valvings by label."""

from tests.situations import cars
from tests.situations.later import AT_STOP, CARRIED, LEVEL
from tests.situations.words import (
    AFTER_DANGER,
    NEVER_UP,
    Situation,
    situation,
)

OTHER_CARS: list[Situation] = [
    situation(
        "four clicks: bounces twice, soft",
        cars.four_clicks(),
        {"symptoms": ["front-bounces"], "front_travel": "short-soft", "bounces": "several"}
        | {"stand": "small"},
        "front rebound firmer <=1",
        ("front rebound softer", "launch rpm more"),
        why="one click",
    ),
    situation(
        "in turns: skips on a harsh landing",
        cars.in_turns(),
        {"symptoms": ["front-bounces"], "front_travel": "short-harsh", "stand": "small"},
        ("front high compression softer <=5", "front rebound firmer <=5"),
        ("launch rpm more", "front rebound softer"),
        why="too firm already",
    ),
    situation(
        "leaf: rear tops out, droop used",
        cars.leaf(),
        {"symptoms": ["rear-tops-out"], "rear_travel": "most", "hooked": "yes"},
        ("inspect", "rear rebound firmer <=1", "leave"),
        ("rear rebound softer",),
        why="a slower separation",
    ),
    situation(
        "no rear knob: rear tops out",
        cars.four_clicks(),
        {"symptoms": ["rear-tops-out"], "rear_travel": "most", "hooked": "spun"},
        ("inspect", "ladder", "launch rpm less <=2"),
        ("front knob any", "launch rpm more"),
        why="no knob for it: less launch or links",
    ),
    situation(
        "one knob for both: squats, no marks",
        cars.one_knob(),
        {"symptoms": ["squats-and-drags"], "contact": "none", "squat_when": "hit"},
        ("rear compression firmer <=2", "ladder"),
        ("rear compression softer",),
        why="load the tyre sooner",
    ),
    situation(
        "in turns: lets go out of droop",
        cars.in_turns(),
        {"symptoms": ["unloads-after-hit"], "unload_when": "rear-droop", "rear_travel": "most"},
        "rear rebound firmer <=5",
        ("rear rebound softer", "launch rpm more"),
        why="the one case for rear rebound",
    ),
    situation(
        "leaf: lets go as the front lands hard",
        cars.leaf(),
        {"symptoms": ["unloads-after-hit"], "unload_when": "front-landed"} | AT_STOP,
        ("inspect", "ladder", "front rebound firmer <=2", "stop"),
        NEVER_UP[:-1],
        (*AFTER_DANGER, "ladder", "control", "leave"),
        why="treat the landing",
    ),
    situation(
        "radial: flares at the gear change",
        cars.counted_from_hard(),
        {"symptoms": ["unloads-at-gear-change"], "gear_change": "flare"},
        (*LEVEL, "control", "measure"),
        ("rear tyre pressure less", "launch rpm more"),
        why="soften the shift",
    ),
    situation(
        "in turns: shakes violently",
        cars.in_turns(),
        {"symptoms": ["tyre-shake"], "shake": "violent"},
        ("inspect", "launch rpm less", "ladder", "stop"),
        ("any knob", "to see"),
        why="inspect; pressure or power",
    ),
    situation(
        "counted from full hard: wrong click total",
        cars.counted_from_hard(),
        {"symptoms": ["knob-sticks"], "knob_fault": "total", "knob_twin": "different"},
        ("stop", "inspect"),
        ("any turn", "to see"),
        ("stop", "inspect", "measure"),
        why="stop, remove",
    ),
    situation(
        "leaf: faded and hot, and it spins",
        cars.leaf(),
        {"symptoms": ["changed-through-day", "spins-at-hit"], "day_change": "weaker"}
        | {"body_temperature": "hot", "tyre_hit": "under", "rear_motion": "squats"},
        ("inspect", "leave", "control", "stop"),
        ("any knob",),
        why="cool, recount, no turn",
    ),
    situation(
        "radial: bogs deep, low stand",
        cars.counted_from_hard(),
        {"symptoms": ["bogs"], "rpm_drop": "deep", "usual_stand": "low"},
        ("inspect", "launch rpm more <=1", "rear tyre pressure more <=1"),
        ("any knob", "rear tyre pressure less"),
        ("inspect", "measure"),
        why="engine, converter, launch; then a little pressure",
    ),
    situation(
        "valvings by label: carries",
        cars.with_valvings(),
        {**CARRIED, "stand": "big"},
        ("ladder", "stop", "measure"),
        NEVER_UP,
        (*AFTER_DANGER, "ladder"),
        why="a label is no curve; no lever for less lift",
    ),
]
