"""Values with unit, spread and basis: the border between what people write and SI."""

from steelyard.quantity.constants import GRAVITY, POUND
from steelyard.quantity.fields import (
    Angle,
    Distance,
    Economy,
    FillLevel,
    Force,
    Height,
    Length,
    Mass,
    PositiveMass,
    Power,
    PresetAngle,
    Pressure,
    Rate,
    Share,
    Speed,
    Station,
    Volume,
    written,
)
from steelyard.quantity.parse import QuantityError, parse
from steelyard.quantity.show import percent, shown, with_spread
from steelyard.quantity.units import Dimension, System, to_border
from steelyard.quantity.value import Z95, Basis, Kind, Level, Scale, Value

__all__ = [
    "GRAVITY",
    "POUND",
    "Z95",
    "Angle",
    "Basis",
    "Dimension",
    "Distance",
    "Economy",
    "FillLevel",
    "Force",
    "Height",
    "Kind",
    "Length",
    "Level",
    "Mass",
    "PositiveMass",
    "Power",
    "PresetAngle",
    "Pressure",
    "QuantityError",
    "Rate",
    "Scale",
    "Share",
    "Speed",
    "Station",
    "System",
    "Value",
    "Volume",
    "parse",
    "percent",
    "shown",
    "to_border",
    "with_spread",
    "written",
]
