"""Ids by the hundred thousand, as a merge lists them: sixteen bytes each."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import takewhile
from typing import Any, Self
from uuid import UUID

from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

WIDTH = 16
"""Bytes of an id."""


@dataclass(frozen=True)
class Ids:
    """Ids in order; `packed` are their bytes, one behind the other."""

    packed: bytes = b""

    @classmethod
    def of(cls, ids: Iterable[UUID | str]) -> Self:
        """Pack ids, or what is written of them.

        Raises:
            ValueError: if one is no id, or there is no list of them.
        """
        if isinstance(ids, cls):
            return ids
        if isinstance(ids, str) or not isinstance(ids, Iterable):
            raise ValueError(f"ids: found {str(ids)[:40]!r}; wanted a list of them")
        return cls(b"".join(map(_bytes, ids)))

    @property
    def keys(self) -> Iterator[bytes]:
        """The bytes of each."""
        packed = self.packed
        return (packed[at : at + WIDTH] for at in range(0, len(packed), WIDTH))

    def parting_from(self, others: Self) -> Self:
        """Return the ids from the last one up to which they are the same as others."""
        pairs = zip(self.keys, others.keys, strict=False)
        alike = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))
        return type(self)(self.packed[max(0, alike - 1) * WIDTH :])

    def plus(self, more: UUID) -> Self:
        """Return the ids with one more at their end."""
        return type(self)(self.packed + more.bytes)

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self.packed) // WIDTH

    def __iter__(self) -> Iterator[UUID]:
        """Yield each."""
        return (UUID(bytes=key) for key in self.keys)

    @classmethod
    def __get_pydantic_core_schema__(cls, kind: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read them from a list, and write them as one."""
        written = core_schema.plain_serializer_function_ser_schema(lambda ids: [*map(str, ids)])
        return core_schema.no_info_plain_validator_function(cls.of, serialization=written)


def _bytes(one: UUID | str) -> bytes:
    try:
        return one.bytes if isinstance(one, UUID) else UUID(one).bytes
    except (AttributeError, TypeError):
        raise ValueError(f"id: found {str(one)[:40]!r}; wanted one") from None
