"""The rig: vehicle, hitch, trailer and what rides, as read from stickers and tape measure."""

from typing import Annotated, Final, Literal

from pydantic import Field, model_validator

from steelyard.quantity import Speed, refused
from steelyard.rig.base import Day, Fact, Name, Named, Title
from steelyard.rig.checks import first_fault
from steelyard.rig.hitch import Hitch
from steelyard.rig.kinds import Region
from steelyard.rig.load import Item, Person, Place, Stage
from steelyard.rig.trailer import Trailer
from steelyard.rig.vehicle import Vehicle

FORMAT: Final = 1
"""Version of the rig file this library reads; it only grows."""


class Rig(Fact):
    """What exists. Holds no physics; stated values are SI `Value`s, unstated ones None."""

    format: Literal[1] = Field(default=1, description="version of this file's form; first key")
    name: Annotated[Title, Field(description="what you call this rig")] = "rig"
    region: Region | None = Field(default=None, description="whose rules are read")
    since: Day | None = Field(default=None, description="day from which the rig is as said here")
    speed: Speed | None = Field(default=None, description="fastest you mean to travel")
    vehicle: Vehicle
    hitch: Hitch = Hitch()
    trailer: Trailer
    places: Named[Name, Place] = Field(default_factory=dict)
    items: Named[Name, Item] = Field(default_factory=dict)
    people: Named[Name, Person] = Field(default_factory=dict)
    stages: Named[Name, Stage] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _consistent(self) -> "Rig":
        fault = first_fault(self)
        if fault is not None:
            raise refused(fault)
        return self
