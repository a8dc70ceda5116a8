"""What a hand does with an adjuster, in a crew's words.

A knob is turned, a pressure is set, a spring is fitted: each kind has one row here, and whatever
asks a hand for something or says what it did takes its words from it.
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

Access = Literal["knob", "bolted", "open"]
"""A knob of a damper, something on the car that hides behind other parts, or neither."""


class HandWords(NamedTuple):
    """How a hand is asked, and what it answers.

    act: what it does.  done, with a setting: how it says that it did.  short: that it came out
    elsewhere.  blocked: that it could not be done.  look: how it finds out where it stands.
    access: what can be in the way.  stopped: what a hand that came out elsewhere has found; empty
    where nothing can be bent or stuck.
    """

    act: str
    done: str
    short: str
    blocked: str
    look: str
    access: Access
    stopped: str = ""

    @property
    def forces(self) -> bool:
        """Whether a hand could force it."""
        return bool(self.stopped)


_STUCK = "It did not go as far as it should: something may be bent or stuck."
_SET = "Done: it is set to {}"
_STAYS = "It will not go that far"
_NO_HAND = "Cannot get at it"


def _bolted(act: str, done: str, look: str) -> HandWords:
    return HandWords(act, done, _STAYS, _NO_HAND, look, "bolted", _STUCK)


HAND_WORDS: Mapping[str, HandWords] = {
    "knob": HandWords(
        "turn",
        "Done: it stands at {}",
        "It stops early",
        "Cannot reach it",
        "Count it by hand.",
        "knob",
        "A knob stopped before its end: the total is wrong.",
    ),
    "travel limiter": _bolted("set", _SET, "Measure it."),
    "tyre pressure": HandWords(
        "set",
        "Done: the gauge reads {}",
        "It is at another pressure",
        "Cannot be set here",
        "Read it with the same gauge.",
        "open",
    ),
    "launch rpm": HandWords(
        "set", _SET, "It is at another rpm", "Cannot be set here", "Read it off.", "open"
    ),
    "spring": HandWords(
        "fit",
        "Done: {} is in",
        "Another one is in",
        "Cannot be fitted here",
        "Read it off the part.",
        "open",
    ),
    "ride height": _bolted("set", "Done: it measures {}", "Measure it."),
    "preload": _bolted("set", _SET, "Count it by hand."),
    "link position": _bolted("move", "Done: it is in {}", "Look where it is bolted."),
    "anti-roll bar": _bolted("set", _SET, "Look where it is set."),
    "valving": HandWords(
        "fit",
        "Done: {} is in",
        "Another one is in",
        "Cannot be fitted here",
        "Read it off the label or the sheet of the shop.",
        "open",
    ),
}
