"""What all actions of a crew have in common."""

from pydantic import BaseModel, ConfigDict


class CrewAction(BaseModel):
    """An action as data: no field is unknown, none changes, its model is made when first used."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)
