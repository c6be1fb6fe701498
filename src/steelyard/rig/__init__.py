"""What exists: frozen models of vehicle, hitch, trailer and load. No files, no physics."""

from steelyard.rig.checks import FIFTH_WHEELS, SEAT_ROWS, is_pin, takes_bars
from steelyard.rig.felt import Felt
from steelyard.rig.hitch import Hitch, HitchPart, SpringBars
from steelyard.rig.kinds import CARS, NO_BED
from steelyard.rig.listing import FORMAT
from steelyard.rig.load import Item, Person, Place, Stage
from steelyard.rig.rig import Own, Owned, Rig
from steelyard.rig.spelling import one_spelling, spelt_like, spelt_path
from steelyard.rig.trailer import Trailer, TrailerAxles
from steelyard.rig.tyres import Tyres
from steelyard.rig.vehicle import Vehicle, VehicleAxle

__all__ = [
    "CARS",
    "FIFTH_WHEELS",
    "FORMAT",
    "NO_BED",
    "SEAT_ROWS",
    "Felt",
    "Hitch",
    "HitchPart",
    "Item",
    "Own",
    "Owned",
    "Person",
    "Place",
    "Rig",
    "SpringBars",
    "Stage",
    "Trailer",
    "TrailerAxles",
    "Tyres",
    "Vehicle",
    "VehicleAxle",
    "is_pin",
    "one_spelling",
    "spelt_like",
    "spelt_path",
    "takes_bars",
]
