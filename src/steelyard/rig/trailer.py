"""The trailer: what its label, data sheet and a tape measure say."""

from typing import Annotated

from pydantic import Field

from steelyard.quantity import (
    Height,
    Length,
    Mass,
    PositiveMass,
    Rate,
    Rating,
    Share,
    Station,
    Value,
    Volume,
)
from steelyard.quantity.fields import Of
from steelyard.rig.base import Fact, Name, Named, Title
from steelyard.rig.kinds import BrakeKind, Content, Suspension, TrailerStyle
from steelyard.rig.spelling import OnTyres
from steelyard.rig.tyres import Tyres

FrameAngle = Annotated[Value, Of("angle", low=0.0, high=2.0, strict=True)]


class EmptyTrailer(Fact):
    """The trailer as built, before anything is put in it."""

    weight: PositiveMass | None = Field(default=None, description="unloaded (dry) weight")
    tongue_weight: Mass | None = Field(default=None, description="unloaded tongue or pin weight")
    cg: Station | None = Field(default=None, description="centre of gravity aft of the ball")
    cg_height: Height | None = None
    cg_offset: Station | None = Field(default=None, description="left of the centreline")


class OneAxle(OnTyres):
    """What sets one axle apart from its neighbours."""

    station: Station | None = Field(default=None, description="aft of the ball")
    gawr: Rating | None = None
    rate: Rate | None = None
    share: Share | None = Field(default=None, description="its share under an equaliser")
    tyres: Tyres | None = None


class TrailerAxles(OnTyres):
    """The axle group; all axles alike unless `first`, `second` or `third` says otherwise."""

    count: Annotated[int, Field(strict=True, ge=1, le=3)] | None = None
    station: Station | None = Field(default=None, description="middle of the group, aft of ball")
    spacing: Length | None = Field(default=None, description="between neighbouring axles")
    suspension: Suspension | None = None
    gawr: Rating | None = Field(default=None, description="rating of one axle")
    track: Length | None = None
    rate: Rate | None = Field(default=None, description="one axle, at the wheels, without tyres")
    unsprung: PositiveMass | None = Field(default=None, description="one axle with its wheels")
    tyres: Tyres = Tyres()
    first: OneAxle | None = None
    second: OneAxle | None = None
    third: OneAxle | None = None


class TrailerTank(Fact):
    """A tank on the trailer."""

    content: Content
    capacity: Volume
    station: Station = Field(description="centre of the tank, aft of the ball")
    offset: Station | None = Field(default=None, description="left of the centreline")
    height: Height | None = None
    length: Length | None = None


class Equipment(Fact):
    """Something fixed that the stated empty weight leaves out, such as a battery."""

    weight: Mass
    station: Station = Field(description="aft of the ball")
    offset: Station | None = None
    height: Height | None = None


class Trailer(Fact):
    """The trailer."""

    style: TrailerStyle = Field(description="fills what is not stated")
    title: Title | None = None
    gvwr: Rating | None = Field(default=None, description="whole trailer (MTPLM, ATM)")
    gtm: Rating | None = Field(default=None, description="rating of the axles together, AU")
    brakes: bool | None = Field(default=None, description="has brakes of its own")
    brake_kind: BrakeKind | None = Field(
        default=None,
        description="electric: wires to drums or discs; surge: the coupler slides and pushes a"
        " cylinder or rod (overrun); look at the tongue",
    )
    braked_axles: Annotated[int, Field(strict=True, ge=0, le=3)] | None = Field(
        default=None, description="axles with brakes on: look behind each wheel for wire or hose"
    )
    breakaway: bool | None = Field(
        default=None,
        description="sets its own brakes if it comes loose: a pin on a cable, or a chain to a"
        " lever, on the tongue",
    )
    stability_brakes: bool | None = Field(
        default=None, description="brakes by itself when it swings: a box of electronics does it"
    )
    empty: EmptyTrailer = EmptyTrailer()
    axles: TrailerAxles = TrailerAxles()
    coupler_height: Height | None = Field(
        default=None, description="above ground when the trailer stands level"
    )
    length: Length | None = Field(default=None, description="ball to rear bumper")
    box_start: Station | None = Field(default=None, description="ball to the front of the box")
    box_length: Length | None = Field(default=None, description="box or deck")
    width: Length | None = None
    front_width: Length | None = Field(
        default=None, description="across the flat front of the box; its width when left out"
    )
    frame_angle: FrameAngle | None = Field(
        default=None, description="between the two rails of the A-frame, seen from above"
    )
    nose_underside: Height | None = Field(
        default=None,
        description="fifth wheel or gooseneck: underside of the nose above ground, trailer level",
    )
    rear_clearance: Height | None = Field(
        default=None, description="lowest point at the rear bumper above ground, trailer level"
    )
    roof_height: Height | None = None
    tanks: Named[Name, TrailerTank] = Field(default_factory=dict)
    equipment: Named[Name, Equipment] = Field(default_factory=dict)
