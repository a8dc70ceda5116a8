"""The second half of a day: changes with their verdicts, put-backs, own turns."""

from tests.situations import cars
from tests.situations.days import HARD, LANDED
from tests.situations.words import (
    AFTER_DANGER,
    LESS_LIFT,
    NEVER_UP,
    NOT_SURE,
    Do,
    Situation,
    said,
    situation,
)

AT_STOP = {"stand": "small", "front_travel": "at-stop"}
AGAIN = said(verdict="better", **AT_STOP, made="front high compression firmer <=4")
SAME = said(verdict="same", **AT_STOP, made="front high compression firmer <=4")
GONE = said("it-is-good", verdict="gone", sixty_foot=1.31)
HIGH = {"symptoms": ["nose-stays-high"], "on_lift": "sinks"}
CARRIED = {"symptoms": ["front-carries"], "stand": "small", "carry": "long"}
OVER = {"symptoms": ["spins-at-hit"], "tyre_hit": "over", "rear_motion": "separates"}
FIRMER = ("front high compression firmer", "front rebound softer", "launch rpm more")
LEVEL = ("ladder", "leave", "stop", "inspect")

CHANGES = [
    situation(
        "two steps of compression, gone; the nose stays high",
        cars.three_way(),
        {"verdict": "gone", **HIGH},
        "front low compression softer <=4",
        ("front high compression softer", "front rebound softer", "launch rpm more"),
        history=(LANDED, AGAIN),
        why="the bleed lets it settle; the firm landing stays",
    ),
    situation(
        "two steps, gone; the nose stays high, no bleed fitted",
        cars.no_bleed(),
        {"verdict": "gone", **HIGH, "front_travel": "short-soft"},
        (*LEVEL, "measure"),
        ("front high compression softer", "front rebound softer", "launch rpm more"),
        history=(LANDED,),
        why="there is no bleed to open",
    ),
    situation(
        "landing, then the nose: both cured",
        cars.three_way(),
        {"verdict": "gone", "symptoms": ["it-is-good"]},
        "leave",
        ("any turn", "to see"),
        history=(
            LANDED,
            said(
                "nose-stays-high",
                verdict="gone",
                on_lift="sinks",
                made="front low compression softer <=4",
            ),
        ),
        why="it is good: change nothing",
    ),
    situation(
        "two steps helped, and now it skips",
        cars.three_way(),
        {"verdict": "other", "symptoms": ["front-bounces"], "stand": "small"}
        | {"front_travel": "short-harsh"},
        ("half back", "put back", "front high compression softer <=4"),
        FIRMER[1:],
        history=(LANDED, AGAIN),
        why="it went past: half of the last step back",
    ),
    situation(
        "the same twice, still at the stop",
        cars.three_way(),
        {"verdict": "same", **AT_STOP},
        ("put back", *LESS_LIFT, "ladder"),
        (*NEVER_UP, "front travel limiter shorter"),
        (*AFTER_DANGER, "put back", "ladder"),
        history=(LANDED, SAME),
        why="two steps without effect: not this lever",
    ),
    situation(
        "four clicks, one was too many",
        cars.four_clicks(),
        {"verdict": "worse", "stand": "small", "front_travel": "short-harsh"},
        ("put back", "half back", "front compression softer <=1"),
        FIRMER,
        (*AFTER_DANGER, "put back"),
        history=(said(HARD, **AT_STOP, made="front compression firmer <=1"),),
        why="one click is as fine as it goes",
    ),
    situation(
        "in turns: carries less, still long",
        cars.in_turns(),
        {"verdict": "better", "stand": "small", "carry": "long", "bars": "clear"},
        (*LESS_LIFT[1:], "front rebound firmer <=5"),
        NEVER_UP,
        (*AFTER_DANGER, "front rebound firmer <=5"),
        history=(
            said("front-carries", stand="small", carry="long", bars="clear", made="any turn"),
        ),
        why="it helped: the same way by the same eighth",
    ),
    situation(
        "in turns: carries the same twice",
        cars.in_turns(),
        {"verdict": "same", "stand": "small", "carry": "long", "bars": "clear"},
        ("put back", "launch rpm less <=2", "ladder"),
        ("launch rpm more", "front travel limiter longer"),
        (*AFTER_DANGER, "put back"),
        history=(
            said("front-carries", stand="small", carry="long", bars="clear", made="any turn"),
            said(verdict="same", stand="small", carry="long", bars="clear", made="any turn"),
        ),
        why="not this lever",
    ),
    situation(
        "one knob for both: firmer, better, still carries",
        cars.one_knob(),
        {"verdict": "better", "stand": "small", "carry": "long", "bars": "clear"},
        ("front rebound firmer <=2", "launch rpm less <=2"),
        NEVER_UP,
        (*AFTER_DANGER, "front rebound firmer <=2"),
        history=(
            said("front-carries", stand="small", carry="long", bars="clear", made="any turn"),
        ),
        why="the same way again, both strokes expected",
    ),
    situation(
        "one knob for both: firmer, and now the landing is harsh",
        cars.one_knob(),
        {"verdict": "other", "symptoms": [HARD], "stand": "small", "front_travel": "short-harsh"},
        ("launch rpm less", *LEVEL, "measure"),
        NEVER_UP[:-1],
        AFTER_DANGER,
        history=(
            said("front-carries", stand="small", carry="long", bars="clear", made="any turn"),
        ),
        why="softer would let it carry again: less launch, or stop and look",
    ),
    situation(
        "a split car: carries less, still long",
        cars.split(6, 9),
        {"verdict": "better", "stand": "small", "carry": "long"},
        ("front rebound firmer <=4", "launch rpm less"),
        NEVER_UP,
        (*AFTER_DANGER, "front rebound firmer <=4"),
        history=(said("front-carries", stand="small", carry="long", made="any turn"),),
        why="both sides alike; the split stays",
    ),
    situation(
        "counted from full hard: better, one click left",
        cars.counted_from_hard(front_compression=2),
        {"verdict": "better", **AT_STOP},
        ("front compression firmer <=1", "launch rpm less"),
        NEVER_UP,
        (*AFTER_DANGER, "front compression firmer <=1"),
        history=(said(HARD, **AT_STOP, made="front compression firmer <=2"),),
        why="within three clicks of shut one at a time",
    ),
]

OWN = [
    situation(
        "good, then own firmer rear compression: spins over-hit",
        cars.three_way(),
        {"verdict": "other", **OVER, "rear_travel": "some"},
        ("put back", "rear compression softer <=4"),
        ("launch rpm more", "rear rebound firmer", "rear compression firmer"),
        ("put back", "rear compression softer <=4", *NOT_SURE),
        history=(
            LANDED,
            GONE,
            Do("already turned", {"adjuster": "left rear compression", "now": "13"}),
        ),
        why="the crew's own last turn first",
    ),
    situation(
        "good, then own less pressure: it shakes",
        cars.three_way(),
        {"verdict": "other", "symptoms": ["tyre-shake"], "shake": "mild"},
        ("put back", "rear tyre pressure more <=4", "inspect"),
        ("any knob", "rear tyre pressure less"),
        ("put back", "rear tyre pressure more <=4", *NOT_SURE, "stop"),
        history=(
            LANDED,
            GONE,
            Do("already turned", {"adjuster": "rear tyre pressure", "now": "11.5"}),
        ),
        why="the pressure goes back whole",
    ),
    situation(
        "own turn of a damper that is mushy now",
        cars.three_way(),
        {"verdict": "other", "symptoms": ["mushy-damper"], "rod_return": "weak"},
        ("stop", "inspect", "ladder", "leave"),
        ("any knob",),
        history=(
            LANDED,
            GONE,
            Do("already turned", {"adjuster": "left rear rebound", "now": "12"}),
        ),
        why="a mushy damper is not clicked out, by a put-back neither",
    ),
    situation(
        "own turn at a good car, still good",
        cars.leaf(),
        {"verdict": "same", "symptoms": ["it-is-good"]},
        "leave",
        ("any turn",),
        history=(
            said("it-is-good"),
            Do("already turned", {"adjuster": "left rear rebound", "now": "5"}),
        ),
        why="good is left alone",
    ),
]

LATER: list[Situation] = [*CHANGES, *OWN]
