"""The tow vehicle: what its door label, manual and a tape measure say."""

from typing import Annotated

from pydantic import Field

from steelyard.quantity import (
    Force,
    Height,
    Length,
    Mass,
    N,
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


class VehicleAxle(OnTyres[N]):
    """Front or rear axle of the vehicle."""

    gawr: Rating[N] | None = Field(default=None, description="axle rating, door label")
    weight: PositiveMass[N] | None = Field(
        default=None, description="what this axle carries with no trailer; say what it includes"
    )
    track: Length[N] | None = Field(default=None, description="between the tyre centres")
    rate: Rate[N] | None = Field(
        default=None, description="both springs of the axle together, at the wheels, without tyres"
    )
    helper_rate: Rate[N] | None = Field(
        default=None, description="helper springs, added when touched"
    )
    helper_gap: Length[N] | None = Field(default=None, description="sag at which helpers touch")
    stop_rate: Rate[N] | None = Field(default=None, description="bump stops, added when touched")
    stop_gap: Length[N] | None = Field(default=None, description="sag at which bump stops touch")
    unsprung: PositiveMass[N] | None = Field(default=None, description="axle, wheels and brakes")
    tyres: Tyres[N] = Tyres()


class VehicleTank(Fact[N]):
    """A tank on the vehicle, such as fuel."""

    content: Content = "gasoline"
    capacity: Volume[N] | None = None
    station: Station[N] | None = Field(default=None, description="centre, aft of the front axle")
    offset: Station[N] | None = Field(default=None, description="left of the centreline")
    height: Height[N] | None = None


class Seat(Fact[N]):
    """A seat, by where its occupant's weight acts."""

    station: Station[N] | None = Field(default=None, description="aft of the front axle")
    offset: Station[N] | None = Field(default=None, description="left of the centreline")
    height: Height[N] | None = None


class Vehicle(Fact[N]):
    """The tow vehicle."""

    klass: VehicleClass = Field(alias="class", description="fills what is not stated")
    title: Title | None = None
    gvwr: Rating[N] | None = Field(default=None, description="door label")
    gcwr: Rating[N] | None = Field(default=None, description="manual: vehicle and trailer")
    payload: Rating[N] | None = Field(
        default=None, description="yellow placard: occupants and cargo never above this"
    )
    tow_rating: Rating[N] | None = Field(default=None, description="braked trailer, manual")
    tow_rating_unbraked: Rating[N] | None = Field(default=None, description="unbraked, manual")
    weight: PositiveMass[N] | None = Field(
        default=None, description="with no trailer; full fuel and no people unless includes says"
    )
    cg: Station[N] | None = Field(
        default=None, description="centre of gravity aft of the front axle"
    )
    cg_height: Height[N] | None = None
    cg_offset: Station[N] | None = Field(default=None, description="left of the centreline")
    wheelbase: Length[N] | None = None
    overhang: Station[N] | None = Field(
        default=None, description="rear axle to ball; negative for a pin ahead of the axle"
    )
    front: VehicleAxle[N] = VehicleAxle()
    rear: VehicleAxle[N] = VehicleAxle()
    roll_share: Share[N] | None = Field(default=None, description="front share of roll stiffness")
    levelling: Levelling = "none"
    driven: Driven | None = Field(
        default=None, description="axle the engine drives when you pull away: manual, or look under"
    )
    electric: bool = Field(
        default=False, description="runs on its battery alone: it has no fuel tank"
    )
    trailer_stability: bool | None = Field(
        default=None,
        description="its stability control has a programme for trailers: it brakes the vehicle when"
        " it is seen to swing",
    )
    drive_force: Force[N] | None = Field(
        default=None,
        description="greatest pull at the driven tyres, lowest gear: engine torque times gear and"
        " axle ratios over the tyre's radius, less the driveline's loss; from the data sheet",
    )
    engine_power: Power[N] | None = Field(
        default=None, description="rated power of the engine, as on the data sheet"
    )
    distribution: DistributionRule | None = Field(
        default=None, description="what the vehicle's manual says of weight distribution"
    )
    distribution_from: PositiveMass[N] | None = Field(
        default=None, description="trailer weight from which the manual's rule holds"
    )
    max_trailer_ratio: Annotated[float, Field(gt=0, le=10)] | None = Field(
        default=None, description="trailer to vehicle weight ratio to hold, where one is used"
    )
    accessories: Mass[N] | None = Field(
        default=None, description="weight fitted since the placard was printed, without hitch parts"
    )
    accessories_station: Station[N] | None = None
    tanks: Named[Name, VehicleTank[N]] = Field(default_factory=dict)
    seats: Named[Name, Seat[N]] = Field(default_factory=dict)
    width: Length[N] | None = None
    roof_height: Height[N] | None = None
    front_overhang: Length[N] | None = Field(default=None, description="front axle to bumper")
    rear_overhang: Length[N] | None = Field(default=None, description="rear axle to bumper")
    cab_to_axle: Length[N] | None = Field(
        default=None, description="back of the cab, or what stands behind it, to the rear axle"
    )
    bed_rail_height: Height[N] | None = Field(
        default=None, description="top of the bed's rails above ground at the hitch, no trailer on"
    )
