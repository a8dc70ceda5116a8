"""A frozen dataclass with some of its fields changed, at what a copy costs.

The standard library's own hands every field to the class's constructor again, which of a state of
forty fields takes eight times as long, at every event and every answer that is imagined.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dataclasses import replace as replace
else:

    def replace(one, /, **parts):
        """Return a copy with these fields changed; what was worked out of the old one stays there.

        Raises:
            TypeError: there is no such field.
        """
        fields = one.__dataclass_fields__
        if not parts.keys() <= fields.keys():
            raise TypeError(f"{type(one).__name__} has no {sorted(parts.keys() - fields.keys())}")
        held = one.__dict__
        new = object.__new__(type(one))
        kept = held if len(held) <= len(fields) else {n: held[n] for n in fields if n in held}
        new.__dict__.update(kept, **parts)
        check = getattr(new, "__post_init__", None)
        if check is not None:
            check()
        return new
