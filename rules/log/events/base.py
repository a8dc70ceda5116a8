"""What every event has, whatever it tells."""

from typing import Annotated, Any, ClassVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from rules.part import FilePart

AnswerValue = str | float | tuple[str, ...]
Text = Annotated[str, Field(max_length=10_000)]


def _plain(data: object) -> object:
    if isinstance(data, BaseModel | FilePart):
        return data.model_dump(mode="json", by_alias=True)
    return data


Plain = Annotated[dict[str, Any], BeforeValidator(_plain)]
"""What a live class was when it was stored, as plain fields; a live one is made plain."""


class EventBody(BaseModel):
    """What happened. `version` goes up with every change of the fields of its kind."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, defer_build=True, ser_json_inf_nan="constants"
    )

    version: ClassVar[int] = 1
