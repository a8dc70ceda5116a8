"""What a crew saw that hardly any car of the cloud shows: the launch is no judge of it."""

import numpy as np

from rules.launch.belief.faults import EYE, Launched, below, indices
from rules.launch.belief.likelihood import Crew, said
from rules.launch.proposed_change import Seen

HARDLY = 0.15


def hardly_shown(run: Launched, crew: Crew, seen: Seen) -> frozenset[str]:
    """Return the questions of which fewer than 15 cars in 100 would get the answer that was given.

    run: the pass as the cars make it that fit what was seen so far.
    """
    over = below((indices(run) - crew.faults) / EYE)
    words, facts = said(run, crew, over), dict(seen.facts)
    return frozenset(
        prompt
        for prompt, shares in words.items()
        if facts.get(prompt) in shares and float(np.mean(shares[str(facts[prompt])])) < HARDLY
    )
