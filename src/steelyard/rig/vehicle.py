"""The tow vehicle: what its door label, manual and a tape measure say."""

from typing import Annotated

from pydantic import Field

from steelyard.quantity import (
    Force,
    Height,
    Length,
    Mass,
    PositiveMass,
    Power,
    Rate,
    Rating,
    Share,
    Station,
    Volume,
)
from steelyard.rig.base import Fact, Name, Named, Title
from steelyard.rig.kinds import Content, DistributionRule, Driven, Levelling, VehicleClass
from steelyard.rig.spelling import OnTyres
from steelyard.rig.tyres import Tyres


class VehicleAxle(OnTyres):
    """Front or rear axle of the vehicle."""

    gawr: Rating | None = Field(default=None, description="axle rating, door label")
    weight: PositiveMass | None = Field(
        default=None, description="what this axle carries with no trailer; say what it includes"
    )
    track: Length | None = Field(default=None, description="between the tyre centres")
    rate: Rate | None = Field(
        default=None, description="both springs of the axle together, at the wheels, without tyres"
    )
    helper_rate: Rate | None = Field(default=None, description="helper springs, added when touched")
    helper_gap: Length | None = Field(default=None, description="sag at which helpers touch")
    stop_rate: Rate | None = Field(default=None, description="bump stops, added when touched")
    stop_gap: Length | None = Field(default=None, description="sag at which bump stops touch")
    unsprung: PositiveMass | None = Field(default=None, description="axle, wheels and brakes")
    tyres: Tyres = Tyres()


class VehicleTank(Fact):
    """A tank on the vehicle, such as fuel."""

    content: Content = "gasoline"
    capacity: Volume | None = None
    station: Station | None = Field(default=None, description="centre, aft of the front axle")
    offset: Station | None = Field(default=None, description="left of the centreline")
    height: Height | None = None


class Seat(Fact):
    """A seat, by where its occupant's weight acts."""

    station: Station | None = Field(default=None, description="aft of the front axle")
    offset: Station | None = Field(default=None, description="left of the centreline")
    height: Height | None = None


class Vehicle(Fact):
    """The tow vehicle."""

    klass: VehicleClass = Field(alias="class", description="fills what is not stated")
    title: Title | None = None
    gvwr: Rating | None = Field(default=None, description="door label")
    gcwr: Rating | None = Field(default=None, description="manual: vehicle and trailer")
    payload: Rating | None = Field(
        default=None, description="yellow placard: occupants and cargo never above this"
    )
    tow_rating: Rating | None = Field(default=None, description="braked trailer, manual")
    tow_rating_unbraked: Rating | None = Field(default=None, description="unbraked, manual")
    weight: PositiveMass | None = Field(
        default=None, description="with no trailer; full fuel and no people unless includes says"
    )
    cg: Station | None = Field(default=None, description="centre of gravity aft of the front axle")
    cg_height: Height | None = None
    cg_offset: Station | None = Field(default=None, description="left of the centreline")
    wheelbase: Length | None = None
    overhang: Station | None = Field(
        default=None, description="rear axle to ball; negative for a pin ahead of the axle"
    )
    front: VehicleAxle = VehicleAxle()
    rear: VehicleAxle = VehicleAxle()
    roll_share: Share | None = Field(default=None, description="front share of roll stiffness")
    levelling: Levelling = "none"
    driven: Driven | None = Field(
        default=None, description="axle the engine drives when you pull away: manual, or look under"
    )
    trailer_stability: bool | None = Field(
        default=None,
        description="its stability control has a programme for trailers: it brakes the vehicle when"
        " it is seen to swing",
    )
    drive_force: Force | None = Field(
        default=None,
        description="greatest pull at the driven tyres, lowest gear: engine torque times gear and"
        " axle ratios over the tyre's radius, less the driveline's loss; from the data sheet",
    )
    engine_power: Power | None = Field(
        default=None, description="rated power of the engine, as on the data sheet"
    )
    distribution: DistributionRule | None = Field(
        default=None, description="what the vehicle's manual says of weight distribution"
    )
    distribution_from: PositiveMass | None = Field(
        default=None, description="trailer weight from which the manual's rule holds"
    )
    max_trailer_ratio: Annotated[float, Field(gt=0, le=10)] | None = Field(
        default=None, description="trailer to vehicle weight ratio to hold, where one is used"
    )
    accessories: Mass | None = Field(
        default=None, description="weight fitted since the placard was printed, without hitch parts"
    )
    accessories_station: Station | None = None
    tanks: Named[Name, VehicleTank] = Field(default_factory=dict)
    seats: Named[Name, Seat] = Field(default_factory=dict)
    width: Length | None = None
    roof_height: Height | None = None
    front_overhang: Length | None = Field(default=None, description="front axle to bumper")
    rear_overhang: Length | None = Field(default=None, description="rear axle to bumper")
    cab_to_axle: Length | None = Field(
        default=None, description="back of the cab, or what stands behind it, to the rear axle"
    )
    bed_rail_height: Height | None = Field(
        default=None, description="top of the bed's rails above ground at the hitch, no trailer on"
    )
