"""The symptoms that a launch can be asked about."""

# The symptoms of which a launch has a number.
JUDGED = frozenset(
    {
        "front-drops-hard",
        "front-bounces",
        "front-carries",
        "front-rises-violently",
        "wheelie-bar-hits",
        "front-slow-to-rise",
        "nose-stays-high",
        "rear-tops-out",
        "squats-and-drags",
        "spins-at-hit",
        "unloads-after-hit",
    }
)
# Where the tyre lets go, so that the thrust is lost and the stand says nothing.
SPIN = frozenset({"spins-at-hit", "unloads-after-hit"})
