"""Histories: a danger earlier in the day, half-made changes, put-backs, own turns, other tracks."""

from tests.situations import cars
from tests.situations.words import (
    AFTER_DANGER,
    LESS_LIFT,
    NEVER_UP,
    NOT_SURE,
    Answer,
    Do,
    Situation,
    Until,
    said,
    situation,
)

HARD = "front-drops-hard"
STOOD = said(
    HARD, stand="dangerous", front_travel="at-stop", bars="hit", made="launch rpm less <=4"
)
BIG = said("front-carries", stand="big", carry="long", made="front rebound firmer <=4")
LANDED = said(HARD, stand="small", front_travel="at-stop", made="front high compression firmer <=4")
GONE = said("it-is-good", verdict="gone", sixty_foot=1.31)
HOT = {
    "air_temperature": 38,
    "track_temperature": 58,
    "humidity": 30,
    "pressure": 1000,
    "pressure_kind": "station pressure",
}
COOL = {
    "air_temperature": 14,
    "track_temperature": 24,
    "humidity": 40,
    "pressure": 1015,
    "pressure_kind": "station pressure",
}
BOG = {"verdict": "other", "symptoms": ["bogs"], "rpm_drop": "deep", "usual_stand": "low"}
LAZY = {
    "verdict": "other",
    "symptoms": ["front-slow-to-rise"],
    "hooked": "lazy",
    "stand": "none",
}
BACK_UP = ("front rebound softer", "front spring softer", "front travel limiter longer")
QUIET = (*NOT_SURE, "ladder", "stop")
LEFT_REBOUND = "left front rebound"


def _no_verdict(seen: dict[str, object]) -> dict[str, object]:
    return {key: value for key, value in seen.items() if key != "verdict"}


DANGER = [
    situation(
        "past the bars, launch softer; it bogs",
        cars.three_way(bars=True),
        BOG,
        ("inspect", "leave", "ladder", "rear tyre pressure more <=1", "stop"),
        ("launch rpm more", *BACK_UP),
        QUIET,
        history=(STOOD,),
        why="more launch is where it stood on its bars",
    ),
    situation(
        "past the bars, launch softer, gone; next pass bogs",
        cars.three_way(bars=True),
        _no_verdict(BOG),
        ("inspect", "leave", "ladder", "rear tyre pressure more <=1", "stop"),
        ("launch rpm more", *BACK_UP),
        QUIET,
        history=(STOOD, GONE),
        why="gone at the softer launch says nothing of the other one",
    ),
    situation(
        "past the bars, launch softer; lazy and nose down",
        cars.three_way(bars=True),
        LAZY,
        ("leave", "ladder", "stop", "inspect", "measure"),
        ("launch rpm more", *BACK_UP),
        QUIET,
        history=(STOOD,),
        why="nothing that lets the front rise more is advised of its own this meeting",
    ),
    situation(
        "over a foot, rebound firmer; spins now, nose down",
        cars.three_way(),
        {
            "verdict": "other",
            "symptoms": ["spins-at-hit"],
            "tyre_hit": "under",
            "rear_motion": "squats",
        },
        ("rear compression firmer <=4", "half back", "measure"),
        ("front rebound softer >=3", "launch rpm more", "front travel limiter longer"),
        ("rear compression firmer <=4", "half back", *NOT_SURE),
        history=(BIG,),
        why="the full put-back is where it carried",
    ),
    situation(
        "over a foot, rebound firmer; worse said of it",
        cars.three_way(),
        {"verdict": "worse", "stand": "big", "carry": "long"},
        LESS_LIFT,
        NEVER_UP,
        AFTER_DANGER,
        history=(BIG,),
        why="a put-back to softer rebound on a big stand is never advised",
    ),
    situation(
        "hot track cleared nothing: cool track, next meeting, lazy",
        cars.three_way(),
        _no_verdict(LAZY),
        ("leave", "ladder", "stop", "measure", "control", "front rebound softer <=2"),
        ("front rebound softer >=3", "front travel limiter longer", "launch rpm more"),
        QUIET,
        history=(
            BIG,
            said(verdict="gone", sixty_foot=1.33),
            Do("conditions", HOT),
            Do("meeting", {"name": "Invented second meeting"}),
            Do("session", {"session": "test"}),
        ),
        why="the danger belongs to the settings, across meetings",
    ),
    situation(
        "past the bars; rain, then the track comes back",
        cars.three_way(),
        _no_verdict(BOG),
        ("inspect", "leave", "ladder", "rear tyre pressure more <=1", "stop", "control"),
        ("launch rpm more", *BACK_UP),
        QUIET,
        history=(
            STOOD,
            said(verdict="gone", sixty_foot=1.4),
            Do("conditions", HOT),
            said("it-is-good", what_else=["lane-or-air"]),
            Do("conditions", COOL),
        ),
        why="a track that comes back wakes the danger again",
    ),
    situation(
        "past the bars; other lane, lazy",
        cars.three_way(),
        {**_no_verdict(LAZY), "what_else": ["lane-or-air"]},
        ("leave", "ladder", "stop", "measure", "control"),
        ("launch rpm more", *BACK_UP),
        QUIET,
        history=(STOOD, GONE),
        why="a lane is no reason to go back up",
    ),
    situation(
        "undo of the softer launch",
        cars.three_way(bars=True),
        None,
        ("pass", "stop", "leave", "measure"),
        ("early order",),
        ("pass", "stop", "leave", "measure"),
        history=(STOOD, GONE, Do("undo last change")),
        says=("rise", "bars", "24 in", "stood"),
        why="it is said, and asked, before anything is ordered",
    ),
    situation(
        "own softer rebound, then a big stand",
        cars.three_way(),
        {"verdict": "other", "symptoms": ["front-carries"], "stand": "big", "carry": "long"},
        ("put back", "launch rpm less", "front rebound firmer >=4"),
        (*NEVER_UP, "front compression any"),
        ("put back", "front rebound firmer <=5", *AFTER_DANGER),
        history=(Do("already turned", {"adjuster": LEFT_REBOUND, "now": "5"}),),
        why="the crew's own turn is put back first",
    ),
]

OPEN_LIST = [
    situation(
        "put back while the landing list is open",
        cars.three_way(),
        None,
        ("order", "pass", "leave", "stop", "measure", *LESS_LIFT),
        ("early order",),
        ("order", "pass", "stop", "leave", "measure", *LESS_LIFT),
        history=(
            Do("already turned", {"adjuster": LEFT_REBOUND, "now": "12"}),
            Until(
                "inspect:",
                {
                    "verdict": "other",
                    "symptoms": [HARD],
                    "stand": "big",
                    "front-travel": "at-stop",
                },
            ),
            Do("put back to baseline"),
        ),
        why="no turn that loosens the front while the list is open",
    ),
    situation(
        "damage reported, then a spin",
        cars.leaf(),
        {"symptoms": ["spins-at-hit"], "tyre_hit": "under", "rear_motion": "squats"},
        ("inspect", "rear compression firmer <=2", "leave", "stop"),
        ("early order", "front knob any"),
        history=(Do("report damage", {"found": "tyre"}),),
        why="the tyre is looked at first",
    ),
]

HALF_MADE = [
    situation(
        "one side made, the other not reached",
        cars.three_way(),
        None,
        "settle",
        ("to see", "early order"),
        ("settle",),
        history=(
            said(
                HARD,
                stand="small",
                front_travel="at-stop",
                made="front high compression firmer <=4",
                half=True,
            ),
        ),
        why="no pass and no other turn on a crooked car",
    ),
    situation(
        "the other side put right: the whole change runs first",
        cars.three_way(),
        None,
        "pass",
        ("any turn",),
        ("pass",),
        history=(
            said(
                HARD,
                stand="small",
                front_travel="at-stop",
                made="front high compression firmer <=4",
                half=True,
            ),
            Answer("settle", "try again"),
            Answer("turn:", "done"),
        ),
        why="a change is run before the next one is asked for",
    ),
    situation(
        "recounted: one side never moved, then put right",
        cars.three_way(),
        None,
        "pass",
        ("any turn",),
        ("pass",),
        history=(
            LANDED,
            Do("recount", {"adjuster": "right front high", "found": "9"}),
            Answer("pair", "put right"),
            Answer("turn:", "done"),
        ),
        why="the completed change has had no pass",
    ),
    situation(
        "one side never moved, found after its pass",
        cars.three_way(),
        None,
        ("pass", "control"),
        ("any turn",),
        ("pass", "control"),
        history=(
            LANDED,
            Until("advice", {"verdict": "same", "stand": "small", "front-travel": "at-stop"}),
            Do("recount", {"adjuster": "right front high", "found": "9"}),
            Answer("pair", "put right"),
            Answer("turn:", "done"),
        ),
        why="the pass ran on half a change: the completed one is run first",
    ),
    situation(
        "an own turn on one side, taken back: the advised change waits",
        cars.three_way(),
        {"verdict": "better", "stand": "small", "front_travel": "at-stop"},
        "front high compression firmer <=4",
        NEVER_UP,
        (*AFTER_DANGER, "front high compression firmer <=4"),
        history=(
            LANDED,
            Do("already turned", {"adjuster": LEFT_REBOUND, "now": "11", "sides": "one"}),
            Do("already turned", {"adjuster": LEFT_REBOUND, "now": "9", "sides": "one"}),
        ),
        says=("[verdict]",),
        why="putting right what was turned leaves the advised change as it was",
    ),
    situation(
        "an own turn on one side, settled by putting it back",
        cars.three_way(),
        {"verdict": "better", "stand": "small", "front_travel": "at-stop"},
        "front high compression firmer <=4",
        NEVER_UP,
        (*AFTER_DANGER, "front high compression firmer <=4"),
        history=(
            LANDED,
            Do("already turned", {"adjuster": LEFT_REBOUND, "now": "11", "sides": "one"}),
            Answer("turn:", "not done"),
            Answer("settle", "put back, knowing"),
            Answer("turn:", "done"),
        ),
        says=("[verdict]",),
        why="the advised change is still to be judged",
    ),
]

DAYS: list[Situation] = [*DANGER, *OPEN_LIST, *HALF_MADE]
