"""A number typed with digits alone: its point is implied, and a whole one needs no Enter."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Digits:
    """How a number is typed.

    decimals: implied where no point is typed, so 1432 is 1.432.  whole: with how many digits it is
    whole; with one more where it begins with one of `longer`.  signed: it can be below zero.
    """

    decimals: int = 3
    whole: int = 4
    longer: str = ""
    signed: bool = False

    def number(self, line: str) -> float | None:
        """Return what was typed as a number; None where it is none yet.

        Raises:
            ValueError: something else than digits, a point and a sign.
        """
        line = line.replace(",", ".")
        if not line.strip("-."):
            return None
        value = float(line)
        return value if "." in line else round(value / 10**self.decimals, self.decimals)

    def text(self, value: float) -> str:
        """Return a number as the digits it is typed with."""
        sign = "-" if value < 0 else ""
        return f"{sign}{round(abs(value) * 10**self.decimals):0{self.decimals + 1}d}"

    def shown(self, line: str) -> str:
        """Return what was typed with its decimal point."""
        value = self.number(line)
        return line if value is None else f"{value:.{self.decimals}f}"

    def is_full(self, line: str) -> bool:
        """Tell whether no further digit can belong to the number."""
        plain = line.lstrip("-")
        if "." in plain:
            return len(plain.partition(".")[2]) >= self.decimals
        return len(plain) >= self.whole + (plain[:1] in self.longer if plain else False)

    def after(self, line: str, key: str) -> str:
        """Return the line after a digit, a point or a sign; a whole number starts over."""
        key = key.replace(",", ".")
        before = "" if self.is_full(line) else line
        misplaced = (key == "." and "." in before) or (key == "-" and (before or not self.signed))
        return line if misplaced else before + key
