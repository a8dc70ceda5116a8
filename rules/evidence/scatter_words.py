"""What is known of a car's scatter, and from where: a few passes of a day never show it alone."""

from rules.evidence.model import Fit
from rules.evidence.priors import Priors
from rules.wording import plural

# From so many repeats on, the passes say more of the scatter than what was believed before them.
REPEATS = 6


def scatter_words(day: Fit) -> str:
    """Say how far the car scatters in the 60-foot, and whether its passes show it or it is taken.

    A repeat is a pass on a setting that its meeting had run before.
    """
    every = (*day.elsewhere, *day.passes)
    repeats = len(every) - len({(one.meeting, one.setting) for one in every})
    scatter = f"{day.scatter:.3f} s"
    if repeats >= REPEATS:
        return f"The car scatters {scatter} from pass to pass, by {plural(repeats, 'repeat')}."
    usual = day.priors.noises == Priors().noises
    whose = "that of usual cars" if usual else "from its other days"
    shown = "no setting was run twice yet"
    if repeats:
        shown = f"{plural(repeats, 'repeat')} of a setting cannot show it"
    return f"Taken as {scatter} a pass, {whose}: {shown}."
