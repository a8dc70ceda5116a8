"""How many passes the launch takes in: the latest of those that teach it something."""

MOST_PASSES = 12
"""More would cost a launch each and add little to what the latest say."""


def first_kept(passes: int) -> int:
    """Return the place of the first that is taken in of so many, from 0.

    They are dropped by halves, so that the clouds of those before are kept.
    """
    over, half = passes - MOST_PASSES, MOST_PASSES // 2
    return max(0, -(-over // half) * half)
