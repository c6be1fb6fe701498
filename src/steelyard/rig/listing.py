"""What a rig file lists, whether or not it holds together."""

from typing import Annotated, Final, Literal

from pydantic import Field

from steelyard.quantity import N, Speed
from steelyard.rig.base import Day, Fact, Name, Named, Title
from steelyard.rig.felt import Felt
from steelyard.rig.hitch import Hitch
from steelyard.rig.kinds import NO_BED, OPEN, Country, Region, Room
from steelyard.rig.load import Item, Person, Place, Stage
from steelyard.rig.trailer import Trailer
from steelyard.rig.vehicle import Vehicle

FORMAT: Final = 1
"""Version of the rig file this library reads; it only grows."""


class Listing(Fact[N]):
    """Vehicle, hitch, trailer and load as a file lists them: what the checks of a rig look at."""

    format: Literal[1] = Field(default=1, description="version of this file's form; first key")
    name: Annotated[Title, Field(description="what you call this rig")] = "rig"
    region: Region | None = Field(default=None, description="whose rules are read")
    since: Day | None = Field(default=None, description="day from which the rig is as said here")
    country: Country | None = Field(
        default=None,
        description="whose words and units are used, where its region has several; a code of two"
        " letters (ISO 3166)",
    )
    speed: Speed[N] | None = Field(default=None, description="fastest you mean to travel")
    everything_listed: bool = Field(
        default=False,
        description="whether all that rides along stands in this file; unless it does, something is"
        " reckoned with that nobody listed",
    )
    vehicle: Vehicle[N]
    hitch: Hitch[N] = Hitch()
    trailer: Trailer[N]
    places: Named[Name, Place[N]] = Field(default_factory=dict)
    items: Named[Name, Item[N]] = Field(default_factory=dict)
    people: Named[Name, Person[N]] = Field(default_factory=dict)
    stages: Named[Name, Stage[N]] = Field(default_factory=dict)
    felt: Named[Name, Felt[N]] = Field(
        default_factory=dict, description="what was felt on the road and came by itself"
    )

    def sort_of(self, place: Place) -> Room:
        """Inside, outside or cabin: as stated, else by what carries it."""
        if place.room is not None:
            return place.room
        if place.on == "trailer":
            return "outside" if self.trailer.style in OPEN else "inside"
        return "cabin" if self.vehicle.klass in NO_BED else "outside"
