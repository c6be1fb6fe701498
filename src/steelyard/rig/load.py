"""What rides: places, items, people, and the stages of the trip."""

from pydantic import Field

from steelyard.quantity import Angle, FillLevel, Height, Length, Mass, PositiveMass, Station
from steelyard.rig.base import Fact, Name, Named, Title
from steelyard.rig.kinds import Carrier


class Place(Fact):
    """A spot where things ride."""

    on: Carrier = "trailer"
    title: Title | None = None
    station: Station = Field(description="centre; aft of the ball, or of the front axle (vehicle)")
    length: Length | None = None
    width: Length | None = None
    offset: Station | None = Field(default=None, description="left of the centreline")
    height: Height | None = Field(default=None, description="of the floor, above ground")
    capacity: PositiveMass | None = Field(default=None, description="most weight it may hold")


class Item(Fact):
    """A thing that rides."""

    weight: Mass
    place: Name
    title: Title | None = None
    station: Station | None = Field(default=None, description="own centre, in its carrier's frame")
    offset: Station | None = None
    height: Height | None = Field(default=None, description="of its own centre, above ground")
    size: tuple[Length, Length, Length] | None = Field(
        default=None, description="length, width, height"
    )


class Person(Fact):
    """Somebody aboard, by seat."""

    seat: Name
    weight: PositiveMass | None = Field(default=None, description="clothed, pockets full")


class Stage(Fact):
    """A moment of the trip."""

    title: Title | None = None
    tanks: Named[Name, FillLevel] = Field(default_factory=dict, description="trailer tank levels")
    vehicle_tanks: Named[Name, FillLevel] = Field(
        default_factory=dict, description="vehicle tank levels, fuel among them"
    )
    people: tuple[Name, ...] | None = Field(default=None, description="aboard; all when left out")
    items: tuple[Name, ...] | None = Field(default=None, description="aboard; all when left out")
    without: tuple[Name, ...] = Field(default=(), description="items not aboard")
    grade: Angle | None = Field(default=None, description="uphill positive; level when left out")
