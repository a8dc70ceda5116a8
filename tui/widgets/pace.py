"""How fast a hand can mean a key: what comes sooner was meant for the question before."""

from time import monotonic

BOUNCE_S = 0.08
"""A key that comes again sooner was pressed once [s]."""
CLAIM_PATIENCE = 4
"""How much longer the key that brought a question is ignored where its digits claim something."""


class Pace:
    """When a question came, by which key, and which key was last; a click counts as one.

    settle_s: for how long a new question takes no key [s].
    """

    def __init__(self, settle_s: float) -> None:
        self.settle_s = settle_s
        self._since = 0.0
        self._last = ("", 0.0)
        self._brought_by = ""

    def asked(self, *, settles: bool) -> None:
        """Note that another question stands there; `settles`: it takes no key for a while."""
        if settles:
            self._since = monotonic()
        self._brought_by = self._last[0]

    @property
    def settling(self) -> bool:
        """Whether the question is too new for a key to be meant for it."""
        return monotonic() - self._since < self.settle_s

    def drops(self, key: str, *, claims: bool = False, walks: bool = False) -> bool:
        """Note a key, and tell whether no hand can have meant it for this question.

        claims: the digits of the question say what a hand did or that the car ran.
        walks: the key only moves the mark, so one that is held down comes again and again.
        """
        if self.settling:
            return True
        last, self._last = self._last, (key, monotonic())
        bounce_s = 0.0 if walks else min(BOUNCE_S, self.settle_s)
        if key == last[0] and monotonic() - last[1] < bounce_s:
            return True
        soon = monotonic() - self._since < CLAIM_PATIENCE * self.settle_s
        return claims and soon and key == self._brought_by
