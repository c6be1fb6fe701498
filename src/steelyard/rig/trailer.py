"""The trailer: what its label, data sheet and a tape measure say."""

from typing import Annotated

from pydantic import Field

from steelyard.quantity import (
    Height,
    Length,
    Mass,
    N,
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

FrameAngle = Annotated[Value[N], Of("angle", low=0.0, high=2.0, strict=True)]


class EmptyTrailer(Fact[N]):
    """The trailer as built, before anything is put in it."""

    weight: PositiveMass[N] | None = Field(default=None, description="unloaded (dry) weight")
    tongue_weight: Mass[N] | None = Field(default=None, description="unloaded tongue or pin weight")
    cg: Station[N] | None = Field(default=None, description="centre of gravity aft of the ball")
    cg_height: Height[N] | None = None
    cg_offset: Station[N] | None = Field(default=None, description="left of the centreline")


class OneAxle(OnTyres[N]):
    """What sets one axle apart from its neighbours."""

    station: Station[N] | None = Field(default=None, description="aft of the ball")
    gawr: Rating[N] | None = None
    rate: Rate[N] | None = None
    share: Share[N] | None = Field(default=None, description="its share under an equaliser")
    tyres: Tyres[N] | None = None


class TrailerAxles(OnTyres[N]):
    """The axle group; all axles alike unless `first`, `second` or `third` says otherwise."""

    count: Annotated[int, Field(strict=True, ge=1, le=3)] | None = None
    station: Station[N] | None = Field(default=None, description="middle of the group, aft of ball")
    spacing: Length[N] | None = Field(default=None, description="between neighbouring axles")
    suspension: Suspension | None = None
    gawr: Rating[N] | None = Field(default=None, description="rating of one axle")
    track: Length[N] | None = None
    rate: Rate[N] | None = Field(default=None, description="one axle, at the wheels, without tyres")
    unsprung: PositiveMass[N] | None = Field(default=None, description="one axle with its wheels")
    tyres: Tyres[N] = Tyres()
    first: OneAxle[N] | None = None
    second: OneAxle[N] | None = None
    third: OneAxle[N] | None = None


class TrailerTank(Fact[N]):
    """A tank on the trailer."""

    content: Content
    capacity: Volume[N]
    station: Station[N] = Field(description="centre of the tank, aft of the ball")
    offset: Station[N] | None = Field(default=None, description="left of the centreline")
    height: Height[N] | None = None
    length: Length[N] | None = None


class Equipment(Fact[N]):
    """Something fixed that the stated empty weight leaves out, such as a battery."""

    weight: Mass[N]
    station: Station[N] = Field(description="aft of the ball")
    offset: Station[N] | None = None
    height: Height[N] | None = None


class Trailer(Fact[N]):
    """The trailer."""

    style: TrailerStyle = Field(description="fills what is not stated")
    title: Title | None = None
    gvwr: Rating[N] | None = Field(default=None, description="whole trailer (MTPLM, ATM)")
    gtm: Rating[N] | None = Field(default=None, description="rating of the axles together, AU")
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
    empty: EmptyTrailer[N] = EmptyTrailer()
    axles: TrailerAxles[N] = TrailerAxles()
    coupler_height: Height[N] | None = Field(
        default=None, description="above ground when the trailer stands level"
    )
    length: Length[N] | None = Field(default=None, description="ball to rear bumper")
    box_start: Station[N] | None = Field(default=None, description="ball to the front of the box")
    box_length: Length[N] | None = Field(default=None, description="box or deck")
    width: Length[N] | None = None
    front_width: Length[N] | None = Field(
        default=None, description="across the flat front of the box; its width when left out"
    )
    frame_angle: FrameAngle[N] | None = Field(
        default=None, description="between the two rails of the A-frame, seen from above"
    )
    nose_underside: Height[N] | None = Field(
        default=None,
        description="fifth wheel or gooseneck: underside of the nose above ground, trailer level",
    )
    rear_clearance: Height[N] | None = Field(
        default=None, description="lowest point at the rear bumper above ground, trailer level"
    )
    roof_height: Height[N] | None = None
    tanks: Named[Name, TrailerTank[N]] = Field(default_factory=dict)
    equipment: Named[Name, Equipment[N]] = Field(default_factory=dict)
