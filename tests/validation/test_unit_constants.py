"""Units, unit weights and densities against outside tables.

Sources: the pint library's unit registry (exact definitions of NIST and BIPM); FAA-H-8083-30,
chapter 4, and public engineering pages for densities (water, propane); EN 228 and EN 590 for road
fuels, and 49 CFR 571.110 for the placard's person.
"""

from typing import get_args

import pint
import pytest

from steelyard.quantity import GRAVITY, POUND, Dimension
from steelyard.quantity.constants import US_GALLON
from steelyard.quantity.units import BORDER_UNIT, EXAMPLES, NOUNS, UNITS
from steelyard.typical.shipped_tables import density, hitch_table, typical
from steelyard.typical.shipped_tables import trailer_style as style

pytestmark = pytest.mark.seen

NAMES: dict[str, dict[str, str]] = {
    "mass": {"lb": "pound", "lbs": "pound", "g": "gram", "t": "metric_ton", "oz": "ounce"},
    "length": {"ft": "foot", "in": "inch", "'": "foot", '"': "inch", "mi": "mile"},
    "pressure": {"Pa": "pascal", "kPa": "kilopascal"},
    "force": {"lbf": "force_pound", "kgf": "force_kilogram", "daN": "decanewton"},
    "rate": {"lb/in": "force_pound/inch", "lbf/in": "force_pound/inch"},
    "angle": {"deg": "degree", "°": "degree", "rad": "radian"},
    "share": {"%": "percent", "of 1": "dimensionless"},
    "volume": {
        "gal": "US_liquid_gallon",
        "US gal": "US_liquid_gallon",
        "imp gal": "imperial_gallon",
        "m3": "meter**3",
        "L": "liter",
        "l": "liter",
    },
    "speed": {"km/h": "kilometer/hour", "mph": "mile/hour"},
    "economy": {
        "mpg": "mile/US_liquid_gallon",
        "US mpg": "mile/US_liquid_gallon",
        "imp mpg": "mile/imperial_gallon",
        "km/L": "kilometer/liter",
    },
    "power": {"kW": "kilowatt", "W": "watt", "hp": "horsepower"},
    "time": {"s": "second", "min": "minute", "h": "hour"},
    "moment": {
        "N m": "newton*meter",
        "N·m": "newton*meter",
        "Nm": "newton*meter",
        "lb ft": "force_pound*foot",
        "lb·ft": "force_pound*foot",
    },
}
SI = {
    "mass": "kilogram",
    "length": "meter",
    "pressure": "pascal",
    "force": "newton",
    "rate": "newton/meter",
    "angle": "radian",
    "share": "dimensionless",
    "volume": "meter**3",
    "speed": "meter/second",
    "economy": "meter/meter**3",
    "power": "watt",
    "time": "second",
    "moment": "newton*meter",
}
EVERY = [(dimension, unit) for dimension, units in UNITS.items() for unit in units]
REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()


def pounds_a_gallon(content: str) -> float:
    """Density in pounds per US gallon."""
    return density(content) * US_GALLON / POUND


class TestFactors:
    """Every unit the border knows, against pint."""

    @pytest.mark.parametrize(("dimension", "unit"), EVERY)
    def test_each_factor(self, dimension: Dimension, unit: str) -> None:
        """A unit is as large as pint says, to rounding."""
        name = NAMES[dimension].get(unit, unit)
        size = REGISTRY.Quantity(1.0, name).to(SI[dimension]).magnitude
        assert UNITS[dimension][unit] == pytest.approx(size, rel=1e-14)

    def test_border_units_exist(self) -> None:
        """Each dimension has a unit for either reader, a noun and an example."""
        for dimension in get_args(Dimension):
            assert dimension in NOUNS
            assert dimension in EXAMPLES
            for system in BORDER_UNIT.values():
                assert system[dimension] in UNITS[dimension]

    def test_pound_and_gravity_from_memory(self) -> None:
        """UW-10: one pound is 0.45359237 kg and standard gravity 9.80665 m/s2, exactly."""
        assert POUND == 0.45359237
        assert GRAVITY == 9.80665


class TestDensities:
    """What a gallon weighs, in pounds."""

    @pytest.mark.parametrize("content", ["fresh", "water"])
    def test_water(self, content: str) -> None:
        """UW-1: 8.33 lb at 59 °F, 8.35 at 32 °F."""
        assert 8.325 <= pounds_a_gallon(content) <= 8.355

    def test_propane(self) -> None:
        """UW-5: 4.2 lb at 60 °F, which is 504 g/L."""
        assert pounds_a_gallon("propane") == pytest.approx(4.2, abs=0.05)
        assert density("propane") == pytest.approx(504)

    @pytest.mark.parametrize("content", ["grey", "black"])
    def test_waste_water_from_memory(self, content: str) -> None:
        """UW-7: taken as water, 8.34 lb."""
        assert pounds_a_gallon(content) == pytest.approx(8.34, abs=0.02)

    @pytest.mark.parametrize(
        ("content", "low", "high"), [("gasoline", 6.0, 6.3), ("diesel", 6.9, 7.1)]
    )
    def test_road_fuel_from_memory(self, content: str, low: float, high: float) -> None:
        """UW-4: 6.0 to 6.3 lb of gasoline, 6.9 to 7.1 lb of diesel; not aviation's 6.7 of Jet A."""
        assert low <= pounds_a_gallon(content) <= high


class TestUnitWeights:
    """Typical weights of people, gas and batteries."""

    def test_person_is_not_the_placards(self) -> None:
        """UW-3: 150 lb (placard) and 170 lb (aviation) are conventions; both lie in our spread."""
        person = typical(hitch_table(), "person", "mass")
        assert person is not None
        for convention in (150, 170):
            assert abs(convention * POUND - person.value) < 1.96 * person.sd

    def test_gas_and_battery_computed(self) -> None:
        """UW-6, UW-8: two full 20 lb cylinders of 37 lb and a group 24 or 27 battery of 40 to 65 lb
        lie within the spread of what a travel trailer carries on its A-frame."""
        gas = typical(style("rear-living"), "gas_and_battery", "mass")
        assert gas is not None
        for battery in (40, 65):
            assert abs((2 * 37 + battery) * POUND - gas.value) < 1.96 * gas.sd
