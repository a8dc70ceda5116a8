"""The launch model: how far a turn of a knob moves the car, and whether there is room.

`launch_scalars` takes one car's SI parameters by name and returns what its launch comes to;
`launch_many` does it for a batch. A single number from here is worth little: a wheelstand is an
unstable pendulum, and one per cent of thrust moves the lift by about seven. Use an ensemble.
"""

from rules.launch.mechanics.parameters import LaunchParameterError
from rules.launch.mechanics.recorder import LaunchStatus
from rules.launch.mechanics.run import (
    BeyondTheModelError,
    Launches,
    Traces,
    launch_many,
    launch_scalars,
)

__all__ = [
    "BeyondTheModelError",
    "LaunchParameterError",
    "LaunchStatus",
    "Launches",
    "Traces",
    "launch_many",
    "launch_scalars",
]
