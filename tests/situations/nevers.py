"""What is never advised beside an answer, whichever the situation: the trade's "never" column."""

LIFTS = (
    "front rebound softer",
    "front spring softer",
    "front travel limiter longer",
    "launch rpm more",
)
CLEARANCE = ("front high compression softer", "front ride height lower", "front spring softer")

# An answer on the way, and what must not come at its end.
NEVER_WITH: dict[str, tuple[str, ...]] = {
    "stand big": LIFTS,
    "stand dangerous": LIFTS,
    "stand unknown": LIFTS,
    "bars hit": LIFTS,
    "usual-stand high": LIFTS,
    "front-travel at-stop": CLEARANCE,
    "contact low-part": CLEARANCE,
    "rear-motion squats": ("rear rebound softer",),
    "squat-when hit": ("rear rebound softer",),
    "squat-when stays": ("rear rebound softer",),
    "rod-return weak": ("any knob",),
    "rod-return dead": ("any knob",),
    "shake violent": ("control",),
    "steering-feel heavy": ("any knob", "control"),
}
