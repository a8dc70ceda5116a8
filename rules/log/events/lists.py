"""What has to be looked at before the car runs: damage, lists that are owed, items ticked."""

from typing import Literal

from rules.log.events.base import EventBody, Text


class DamageReported(EventBody):
    """Something was found at any time; advice waits until its inspection is clear."""

    kind: Literal["damage-reported"] = "damage-reported"
    report: str
    found: str


class ListOwed(EventBody):
    """What raised a block was corrected or taken back; its list still has to be ticked."""

    kind: Literal["list-owed"] = "list-owed"
    inspection: str
    reason: str
    says: Text


class ItemTicked(EventBody):
    """One thing of an inspection was looked at."""

    kind: Literal["item-ticked"] = "item-ticked"
    inspection: str
    reason: str
    item: str
    mark: Literal["ok", "fault", "not fitted"]
