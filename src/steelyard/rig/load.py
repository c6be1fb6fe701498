"""What rides: places, items, people, and the stages of the trip."""

from typing import Annotated

from pydantic import Field

from steelyard.quantity import (
    Angle,
    Distance,
    Economy,
    FillLevel,
    Height,
    Length,
    Mass,
    N,
    PositiveMass,
    Rating,
    Share,
    Station,
    Volume,
)
from steelyard.rig.base import Fact, Name, Named, Title
from steelyard.rig.kinds import Carrier, Room

USUAL_IMPORTANCE = 5


class Place(Fact[N]):
    """A spot where things ride."""

    on: Carrier = "trailer"
    title: Title | None = None
    station: Station[N] = Field(
        description="centre; aft of the ball, or of the front axle (vehicle)"
    )
    length: Length[N] | None = None
    width: Length[N] | None = None
    offset: Station[N] | None = Field(default=None, description="left of the centreline")
    height: Height[N] | None = Field(default=None, description="of the floor, above ground")
    clearance: Length[N] | None = Field(default=None, description="floor to ceiling, inside")
    capacity: Rating[N] | None = Field(default=None, description="most weight it may hold")
    room: Room | None = Field(
        default=None,
        description="cabin: with the people; outside: open air; when left out, outside in a"
        " pickup's bed and on an open trailer, cabin in any other vehicle, else inside",
    )
    blocked_at: tuple[Name, ...] = Field(
        default=(), description="stages at which nobody can get at it"
    )


class Item(Fact[N]):
    """A thing that rides."""

    weight: Mass[N]
    place: Name = Field(description="the place it rides in, which `steelyard stow --write` finds")
    title: Title | None = None
    station: Station[N] | None = Field(
        default=None, description="own centre, in its carrier's frame"
    )
    offset: Station[N] | None = None
    height: Height[N] | None = Field(default=None, description="of its own centre, above ground")
    size: tuple[Length, Length, Length] | None = Field(
        default=None, description="length, width, height"
    )
    fixed: bool = Field(default=False, description="stays in its place whatever the plan")
    upright: bool = Field(default=False, description="may not be laid down")
    not_with_people: bool = Field(default=False, description="never in a cabin place")
    outside_only: bool | None = Field(
        default=None,
        description="only in an outside place; when left out, so is what has fuel or fumes by its"
        " name",
    )
    reachable_at: tuple[Name, ...] = Field(
        default=(), description="stages at which its place may not be blocked"
    )
    together: tuple[Name, ...] = Field(default=(), description="items it shares its place with")
    apart: tuple[Name, ...] = Field(default=(), description="items it never shares a place with")
    opposite: Name | None = Field(
        default=None,
        description="item it balances: the same distance left as that rides right, in a place as"
        " far forward",
    )
    importance: Annotated[int, Field(strict=True, ge=0, le=10)] = Field(
        default=USUAL_IMPORTANCE, description="how badly it is wanted, if something must stay home"
    )
    slides: bool = Field(default=False, description="may stand anywhere along its place's length")
    front_wheels: Length[N] | None = Field(
        default=None, description="its front wheels ahead of its own centre of gravity"
    )
    rear_wheels: Length[N] | None = Field(
        default=None, description="its rear wheels behind its own centre of gravity"
    )


class Person(Fact[N]):
    """Somebody aboard, by seat."""

    seat: Name = Field(description="a seat such as driver or second-left, or one of vehicle.seats")
    weight: PositiveMass[N] | None = Field(default=None, description="clothed, pockets full")


class Stage(Fact[N]):
    """A moment of the trip."""

    title: Title | None = None
    tanks: Named[Name, FillLevel[N]] = Field(
        default_factory=dict, description="trailer tank levels"
    )
    vehicle_tanks: Named[Name, FillLevel[N]] = Field(
        default_factory=dict, description="vehicle tank levels, fuel among them"
    )
    people: tuple[Name, ...] | None = Field(default=None, description="aboard; all when left out")
    items: tuple[Name, ...] | None = Field(default=None, description="aboard; all when left out")
    without: tuple[Name, ...] = Field(default=(), description="items not aboard")
    grade: Angle[N] | None = Field(default=None, description="uphill positive; level when left out")
    distance: Distance[N] | None = Field(default=None, description="driven since the stage before")
    fuel_use: Economy[N] | None = Field(
        default=None, description="on that road and from then on, until said again"
    )
    water_used: Volume[N] | None = Field(
        default=None, description="drawn from fresh since the stage before, into grey and black"
    )
    to_black: Share[N] | None = Field(
        default=None, description="part of the water used that ends in black; 20 % when left out"
    )
    bought: tuple[Name, ...] = Field(default=(), description="items aboard from here on only")
    used_up: tuple[Name, ...] = Field(default=(), description="items gone from here on")
