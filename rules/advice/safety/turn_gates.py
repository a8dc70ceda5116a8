"""Every gate that turns pass before they are advised, whoever asks for them."""

from rules.advice.safety import gates, valving_gate
from rules.advice.safety.awake_dangers import never_back
from rules.advice.situation import Situation
from rules.car.adjusters import Turn
from rules.log import reach


def refused(
    now: Situation, turns: tuple[Turn, ...], *, back: bool = False, in_words: bool = False
) -> str:
    """Return why these turns are never advised here, or nothing.

    By what was seen on this pass, by a danger of the log, by what no hand reaches, by the curves of
    a valving.
    back: they put something back where it was.
    in_words: a rung says them, and the crew chooses: a valving may be one of unknown curve.
    """
    return (
        gates.never(turns, now.fitted, now.facts, back=back)
        or never_back(now.state, turns)
        or ("" if back else reach.refuses(now.state, turns))
        or valving_gate.curves_refuse(now, turns, new=not (back or in_words))
    )
