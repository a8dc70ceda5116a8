"""The steps of fitting a damper, in the order of the work. Common practice, no source."""

from dataclasses import dataclass
from typing import Literal

from rules.question import Choice

DOWN, UP, IN, AFTER = (
    "Car down, as raced", "On stands, springs out", "Springs in", "Car down again",
)  # fmt: skip
DONE = (Choice("done", "Done"), Choice("none", "Not on this car"))
MARKS = (Choice("pass", "Pass"), Choice("fail", "FAIL"), Choice("none", "Not on this car"))
BODY = (
    Choice("up", "Body up, as its maker allows"), Choice("down", "Body down, as its maker allows"),
)  # fmt: skip
PROCEDURE = (
    "Measure with the car down first: what stands differently afterwards is then seen.",
    "Stands under the frame, wheels chocked, engine off and cold; nobody under a car on a jack.",
    "Axle or arm held up, so that nothing hangs on a hose, a line or a joint.",
    "Mock up without the spring: way up, knobs in reach with the wheel on, nothing binds.",
    "Gas-charged dampers are not opened, drilled or heated. Hoses and reservoir as its maker says.",
    "Spring in, coil seated, torque to the maker's figure, knobs from end to end, then the counts.",
    "At the end: which dampers they are, and the baseline. First passes: a start setting.",
    "Leave it at any step with Esc; photographs are named, and stay where they are.",
)


@dataclass(frozen=True)
class WorkStep:
    """One step on an axle. `failed` says what is wrong; a fail blocks advice until it is ticked."""

    key: str
    label: str
    question: str
    hint: str
    stage: str
    kind: Literal["done", "mark", "body"] = "done"
    failed: str = ""


BEFORE_REACH: tuple[WorkStep, ...] = (
    WorkStep(
        "spring out", "spring out, mocked up", "spring out, damper in its bolts without it?",
        "Spring held by its own tool; bolts by hand, spacers where they go.", UP,
    ),
    WorkStep(
        "body", "way up", "which way up is it in?", "Only a way that its maker allows.", UP, "body",
    ),
)  # fmt: skip
AFTER_REACH: tuple[WorkStep, ...] = (
    WorkStep(
        "bearings", "bearings, spacers", "bearing ends free and without play, spacers both sides?",
        "No side load on the shaft.", UP, "mark", "a bearing end is tight, loose or without spacer",
    ),
    WorkStep(
        "bind", "nothing binds", "nothing binds through full travel and full steer?",
        "Bump to droop by hand, lock to lock at both ends.", UP, "mark", "something binds",
    ),
    WorkStep(
        "hose", "hose, reservoir", "hose and reservoir clear of heat, tyre, road and pinch?",
        "Reservoir bolted to the frame, hose at the frame side.", UP, "mark",
        "hose or reservoir is in the way or loose",
    ),
    WorkStep(
        "spring in", "spring in, seated", "spring in, coil seated, collar and preload at marks?",
        "Both sides alike; preload is one change of its own.", IN,
    ),
    WorkStep(
        "torque", "torque", "every fastener to the maker's figure?",
        "The maker's figure, or a qualified person's.", IN, "mark", "a fastener is not torqued",
    ),
)  # fmt: skip
