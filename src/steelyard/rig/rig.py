"""The rig: vehicle, hitch, trailer and what rides, as read from stickers and tape measure."""

from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal, get_args

from pydantic import Field, PrivateAttr, model_validator

from steelyard.fault import Fault, quoted
from steelyard.quantity import Speed, refused
from steelyard.rig.base import Day, Fact, Name, Named, Title
from steelyard.rig.checks import first_fault
from steelyard.rig.hitch import Hitch
from steelyard.rig.kinds import Country, Region
from steelyard.rig.load import Item, Person, Place, Stage
from steelyard.rig.own import Own, Owned
from steelyard.rig.trailer import Trailer
from steelyard.rig.vehicle import Vehicle

FORMAT: Final = 1
"""Version of the rig file this library reads; it only grows."""
_ELSEWHERE: Final[dict[str, Region]] = {
    "US": "north-america",
    "CA": "north-america",
    "AU": "australia-new-zealand",
    "NZ": "australia-new-zealand",
}
REGIONS: Final[Mapping[str, Region]] = {
    country: _ELSEWHERE.get(country, "europe") for country in get_args(Country)
}
"""The region of each country."""


class Rig(Fact):
    """What exists. Holds no physics; stated values are SI `Value`s, unstated ones None."""

    format: Literal[1] = Field(default=1, description="version of this file's form; first key")
    name: Annotated[Title, Field(description="what you call this rig")] = "rig"
    region: Region | None = Field(default=None, description="whose rules are read")
    since: Day | None = Field(default=None, description="day from which the rig is as said here")
    country: Country | None = Field(
        default=None,
        description="whose words and units are used, where its region has several; a code of two"
        " letters (ISO 3166)",
    )
    speed: Speed | None = Field(default=None, description="fastest you mean to travel")
    vehicle: Vehicle
    hitch: Hitch = Hitch()
    trailer: Trailer
    places: Named[Name, Place] = Field(default_factory=dict)
    items: Named[Name, Item] = Field(default_factory=dict)
    people: Named[Name, Person] = Field(default_factory=dict)
    stages: Named[Name, Stage] = Field(default_factory=dict)
    _owned: Owned = PrivateAttr(default_factory=dict)

    @property
    def owned(self) -> Owned:
        """The owner's own typical values, where there are any."""
        return self._owned

    def own(self, style: str) -> Mapping[str, Own]:
        """The owner's typical values of a trailer style or vehicle class."""
        return self._owned.get(style, {})

    def owning(self, owned: Owned) -> "Rig":
        """The same rig with the owner's own typical values beside it."""
        copy = self.model_copy()
        copy._owned = owned
        return copy

    @model_validator(mode="before")
    @classmethod
    def _region_of_country(cls, data: Any) -> Any:
        """A country says its region."""
        if not isinstance(data, Mapping) or "region" in data:
            return data
        region = REGIONS.get(str(data.get("country")))
        return {**data, "region": region} if region else data

    @model_validator(mode="after")
    def _consistent(self) -> "Rig":
        if self.country is not None and REGIONS[self.country] != self.region:
            due = f"{REGIONS[self.country]}, where {self.country} lies, or none"
            raise refused(Fault(path=("region",), due=due, found=quoted(str(self.region))))
        fault = first_fault(self)
        if fault is not None:
            raise refused(fault)
        return self
