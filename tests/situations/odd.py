"""What does not come every day: ends of the ladder, tables that nobody has, faults of faults."""

from tests.situations import cars
from tests.situations.words import AFTER_DANGER, LESS_LIFT, NEVER_UP, NOT_SURE, said, situation

HARD = "front-drops-hard"
SQUAT = {"symptoms": ["squats-and-drags"], "contact": "none", "squat_when": "hit"}
FIRMER_REAR = said(**SQUAT, made="rear compression firmer <=4")
BETTER = said(
    verdict="better", contact="none", squat_when="hit", made="rear compression firmer <=4"
)

ENDS = [
    situation(
        "bounces after a stand on the bars",
        cars.three_way(bars=True),
        {
            "symptoms": ["front-bounces"],
            "front_travel": "short-harsh",
            "bounces": "several",
            "stand": "dangerous",
        },
        LESS_LIFT,
        ("front rebound softer", "front spring softer", "launch rpm more"),
        (*LESS_LIFT, *NOT_SURE),
        why="the height is wrong before the bounce is",
    ),
    situation(
        "bleed open, near the stop, no ride height to set",
        cars.three_way(front_low=0),
        {"symptoms": ["nose-stays-high"], "on_lift": "sinks", "front_travel": "at-stop"},
        ("ladder", "leave", "measure", "stop"),
        ("front ride height lower", "front rebound softer >=3"),
        ("ladder", *NOT_SURE),
        why="no softer high-speed compression and no longer limiter with the travel used up",
    ),
    situation(
        "stacks by their label only, a big stand",
        cars.with_valvings(),
        {"symptoms": [HARD], "stand": "big", "front_travel": "at-stop"},
        ("ladder", "stop"),
        (*NEVER_UP, "front valving any", "rear knob any"),
        ("ladder", "stop", "measure", "inspect"),
        why="without a table a valving for a danger is a rung in words, for the crew to choose",
    ),
    situation(
        "leaf car separates hard, rebound at full firm",
        cars.leaf(rear_rebound=8),
        {"symptoms": ["rear-tops-out"], "rear_travel": "most", "hooked": "spun"},
        ("ladder", "leave", "rear compression softer <=1"),
        ("rear rebound softer", "front knob any"),
        ("ladder", *NOT_SURE),
        why="out of clicks; the instant centre is fixed on most leaf cars",
    ),
    situation(
        "over-hit, droop left, no launch lever",
        cars.leaf(),
        {
            "symptoms": ["spins-at-hit"],
            "tyre_hit": "over",
            "rear_motion": "separates",
            "rear_travel": "some",
        },
        ("ladder", "control", "rear tyre pressure any <=1", "rear compression softer <=1"),
        ("rear rebound softer >=2",),
        ("ladder", *NOT_SURE),
        why="rear rebound firmer helps only where the droop is used up",
    ),
    situation(
        "lets go as the front tops out",
        cars.three_way(),
        {"symptoms": ["unloads-after-hit"], "unload_when": "front-top", "top_out": "no"},
        ("front rebound firmer <=4", "launch rpm less"),
        (),
        why="what happened at that instant is treated",
    ),
    situation(
        "mushy, both rods alike, too hot to hold",
        cars.counted_from_hard(),
        {"symptoms": ["mushy-damper"], "rod_return": "alike", "body_temperature": "hot"},
        ("stop", "inspect", "ladder", "leave", "put right"),
        ("any turn", "to see"),
        ("stop", "inspect", "ladder", "measure", "leave"),
        why="cool and service; never clicked out",
    ),
    situation(
        "a knob weeps",
        cars.in_turns(),
        {"symptoms": ["knob-sticks"], "knob_fault": "weeps"},
        ("stop", "inspect", "ladder"),
        ("any turn", "to see"),
        ("stop", "inspect", "ladder", "measure"),
        why="oil at the knob: stop, remove",
    ),
    situation(
        "drifts suddenly, the wall came near",
        cars.leaf(),
        {"symptoms": ["sudden-drift"], "steering_feel": "heavy", "drift_when": "once"},
        ("stop", "inspect"),
        ("any knob", "early order"),
        ("stop", "inspect", "measure"),
        why="heavy steering is looked at first",
    ),
]

ELSE = [
    situation(
        "carries, crosswind or staged deep",
        cars.three_way(),
        {
            "symptoms": ["front-carries"],
            "what_else": ["staging-or-car"],
            "stand": "big",
            "carry": "long",
        },
        (*LESS_LIFT, "put right"),
        (*NEVER_UP, "front compression any"),
        (*AFTER_DANGER, "put right"),
        why="less lift is right whatever else was changed",
    ),
    situation(
        "landing at the stop, the pressure was changed",
        cars.three_way(),
        {
            "symptoms": [HARD],
            "what_else": ["tyre-pressure"],
            "stand": "small",
            "front_travel": "at-stop",
        },
        ("put right", "stop"),
        NEVER_UP,
        ("put right", *AFTER_DANGER),
        why="put right first, and never a pass to see",
    ),
    situation(
        "unprepared track, and it spins under-hit",
        cars.three_way(),
        {
            "symptoms": ["strange-surface", "spins-at-hit"],
            "surface": "unprepared",
            "hooked": "spun",
            "tyre_hit": "under",
            "rear_motion": "squats",
        },
        ("launch rpm less <=3", "leave", "control"),
        ("launch rpm more", "rear rebound softer", "front knob any"),
        ("launch rpm less <=3", *NOT_SURE),
        why="a spin on a bare track is the track's: a softer launch first",
    ),
    situation(
        "squat better twice, then worse",
        cars.three_way(),
        {"verdict": "worse", "contact": "none", "squat_when": "hit"},
        ("half back", "put back", "rear compression softer <=3"),
        ("rear compression firmer", "rear rebound softer"),
        ("half back", "put back", "rear compression softer <=3", *NOT_SURE),
        history=(FIRMER_REAR, BETTER),
        why="it went past: half back",
    ),
    situation(
        "squat the same after a full step",
        cars.leaf(),
        {"verdict": "same", "contact": "none", "squat_when": "hit"},
        ("rear compression firmer <=3", "ladder", "put back", "control"),
        ("rear rebound softer", "front knob any"),
        ("rear compression firmer <=3", "ladder", "put back", *NOT_SURE),
        history=(said(**SQUAT, made="rear compression firmer <=2"),),
        why="no effect in four of ten: further, or the next rung",
    ),
    situation(
        "squat gone, and now it spins over-hit",
        cars.three_way(),
        {
            "verdict": "other",
            "symptoms": ["spins-at-hit"],
            "tyre_hit": "over",
            "rear_motion": "separates",
            "rear_travel": "some",
        },
        ("half back", "put back", "launch rpm less <=2", "rear compression softer <=3"),
        ("launch rpm more", "rear rebound softer >=3"),
        ("half back", "put back", "launch rpm less <=2", "rear compression softer <=3", *NOT_SURE),
        history=(FIRMER_REAR,),
        why="the cure for one fault makes the next: half back, or a softer hit",
    ),
    situation(
        "squats as before, but the burnout was another",
        cars.three_way(),
        {
            "verdict": "same",
            "symptoms": ["squats-and-drags"],
            "what_else": ["burnout"],
            "contact": "none",
            "squat_when": "hit",
        },
        ("control", "leave", "measure"),
        ("front knob any", "rear rebound softer"),
        ("control", "leave", "measure", "inspect"),
        history=(FIRMER_REAR,),
        why="something else was changed: the pass says little of the change",
    ),
]

ODD = [*ENDS, *ELSE]
