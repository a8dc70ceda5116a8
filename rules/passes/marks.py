"""What a crew marks on a time slip, and which of it spoils the pass."""

from typing import Literal

Mark = Literal["lifted", "aborted", "spun", "red light"]

# A red light costs the round and says nothing against the run.
SPOILING: frozenset[Mark] = frozenset({"lifted", "aborted", "spun"})
