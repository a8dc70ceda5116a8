"""What is known of a number of the car file beside its value, said once, where it is declared.

Usual ranges, ways to measure and what a typical car has are common practice, no source, from
memory.
"""

from typing import Any, NamedTuple, get_args

from rules.part import Field
from rules.units import Quantity, Reader

Span = tuple[float, float]


class Fact(NamedTuple):
    """A number's words, and what cars mostly have.

    name: in words, behind the end where it stands in an axle's table.  to_measure: the same in a
    list of what to measure, if not the name.  short: where room is scarce.
    how: how it is measured, in one line.  usual: in US units; for prompts and for doubt, never
    used as a value.  unit: of a plain number.  note: behind its line in the file a crew starts
    from; None where that file has no such line.
    typical: SI, what the launch takes where the file does not say it.
    asked: SI, what a form takes for it; slips of a key lie outside.
    rear_how, rear_usual, rear_typical: of the rear axle, where they differ.
    """

    name: str = ""
    to_measure: str = ""
    short: str = ""
    how: str = ""
    usual: Span | None = None
    unit: str = ""
    note: str | None = None
    typical: float | None = None
    asked: Span | None = None
    rear_how: str = ""
    rear_usual: Span | None = None
    rear_typical: float | None = None

    def at(self, end: str, plain: str) -> "Fact":
        """Return the fact at one end, "front" or "rear"; `plain` is the key in words."""
        here = self._replace(name=f"{end} {self.name or plain}", to_measure=f"{end} {plain}")
        if end == "front":
            return here
        return here._replace(
            how=self.rear_how or self.how,
            usual=self.rear_usual or self.usual,
            typical=self.typical if self.rear_typical is None else self.rear_typical,
        )


def fact_of(field: Field) -> Fact | None:
    """Return what a field declares of itself."""
    return next((one for one in field.beside if isinstance(one, Fact)), None)


def quantity_of(field: Field) -> Quantity | None:
    """Return what a field measures, as its type says; None for a plain number and for no number."""
    kinds: list[Any] = [*field.beside]
    for kind in get_args(field.kind):
        kinds += getattr(kind, "__metadata__", ())
    return next((one.quantity for one in kinds if isinstance(one, Reader)), None)
