"""What passes of this meeting saw on the settings of a way: a cure that was run is no guess."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from rules.launch.belief.likelihood import WRONG
from rules.launch.proposed_change import Seen

Array = NDArray[np.float64]
Settings = Mapping[str, float]


def log_odds_seen(
    passes: Sequence[Seen], today: Settings, ways: Sequence[Settings], symptoms: Sequence[str]
) -> Array:
    """Return what passes add to the log-odds that a fault is gone with each way, (m,).

    A pass that showed the fault on a way's settings, or further the same way from today's, speaks
    against the way; one that did not, on its settings, for it. One word in ten is wrong. That the
    fault is there on today's settings is taken as given.

    today: the settings from which a way is counted.  symptoms: what is treated.
    """
    here = [
        one
        for one in passes
        if one.meeting == passes[-1].meeting and one.symptoms and dict(one.settings) != dict(today)
    ]
    speaks = np.log((1.0 - WRONG) / WRONG)
    found = np.zeros(len(ways))
    for one in here:
        ran, there = dict(one.settings), not set(symptoms).isdisjoint(one.symptoms)
        for place, way in enumerate(ways):
            if there and _reaches(ran, today, way):
                found[place] -= one.weight * speaks
            elif not there and ran == dict(way):
                found[place] += one.weight * speaks
    return found


def _reaches(ran: Settings, today: Settings, way: Settings) -> bool:
    """Tell whether a pass was run on a way's settings, or on such as go on from today's past it."""
    for key in ran.keys() | way.keys():
        start = today.get(key, 0.0)
        moved, wanted = ran.get(key, start) - start, way.get(key, start) - start
        if moved * wanted < 0.0 or abs(moved) < abs(wanted) or (moved and not wanted):
            return False
    return True
