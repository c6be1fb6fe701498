"""Quantities as people write them."""

from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from steelyard.quantity import (
    FOOT,
    INCH,
    POUND,
    Dimension,
    QuantityError,
    fields,
    parse,
    written_like,
)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("25 ft 4 in", 304),
        ("25' 4\"", 304),
        ("2 5/16 in", 2.3125),
        ("2-5/16 in", 2.3125),
        ("5/16 in", 0.3125),
        ("-1/2 in", -0.5),
        ("-2 ft 6 in", -30),
        ("1,234.5 in", 1234.5),
        ("1e1 in", 10),
        ("12 feet 6 inches", 150),
        ("1 foot", 12),
    ],
)
def test_lengths(text: str, inches: float) -> None:
    """Feet and inches add up, fractions count, a leading minus holds for all of it."""
    assert parse(text, "length").value == pytest.approx(inches * INCH, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "inches"), [("15/16 in", 15 / 16), ("11/16 in", 11 / 16), ("2 13/16 in", 2 + 13 / 16)]
)
def test_fractions_of_two_digits(text: str, inches: float) -> None:
    """15/16 in is less than an inch: its first digit is not a whole number of its own."""
    assert parse(text, "length").value == pytest.approx(inches * INCH, rel=1e-12)


def test_feet_and_inches_without_a_space() -> None:
    """25'4" is 25 feet 4 inches."""
    assert parse("25'4\"", "length").value == pytest.approx(25 * FOOT + 4 * INCH)


@pytest.mark.parametrize("sign", ["+-", "±", "+/-"])
def test_spread_is_half_a_95_percent_interval(sign: str) -> None:
    """700 lb +- 25 lb has an sd of 25 lb/1.96."""
    found = parse(f"700 lb {sign} 25 lb", "mass")
    assert found.value == pytest.approx(700 * POUND)
    assert found.sd == pytest.approx(25 * POUND / 1.959963985)


def test_spread_in_percent_is_relative() -> None:
    """700 lb +- 10 % spreads by 70 lb; a share's spread in % is in points."""
    mass, share = parse("700 lb +- 10 %", "mass"), parse("50 % +- 10 %", "share")
    assert mass.sd == pytest.approx(70 * POUND / 1.959963985)
    assert share.sd == pytest.approx(0.10 / 1.959963985)


@pytest.mark.parametrize(
    ("raw", "dimension", "says"),
    [
        (700, "mass", "with its unit"),
        (700.0, "mass", "with its unit"),
        ("700", "mass", "with its unit"),
        ("", "mass", "with its unit"),
        ("700 ft", "mass", "a length"),
        ("700 stone", "mass", "no unit is called stone"),
        ("6 300 lb", "mass", "with its unit"),
        ("nan lb", "mass", "with its unit"),
        ("1e400 lb", "mass", "a weight of at most 1,000,000,000 kg"),
        ("2500000000.0 N/m", "rate", "a spring rate of at most 1,000,000 N/mm, found"),
        ("700 lb +- nan lb", "mass", "with its unit"),
        ("5 kg +-", "mass", "no number behind its"),
        ("+- 5 kg", "mass", "no number before its"),
        ("5 kg +- 3", "mass", "its spread has no unit"),
        ({"value": "700 lb", "spread": float("nan")}, "mass", "with its unit"),
        ("700 lb +- 900000 lb", "mass", "a spread of at most 5 times"),
        ("12 ft +- 9000 %", "length", "a spread of at most 5 times"),
        (float("nan"), "mass", "with its unit"),
        ("1/0 in", "length", "with its unit"),
        ("13 ft 60 in", "length", "fewer in than make 1 ft"),
        ("700 lb +- -5 lb", "mass", "a spread of at least zero"),
        ("700 lb +- 5 lb +- 5 lb", "mass", "with its unit"),
        ({"value": "700 lb", "weight": 3}, "mass", "table"),
        ({"value": "700 lb", "basis": "felt"}, "mass", "basis"),
        ({"value": "700 lb", "includes": "fuel"}, "mass", "includes"),
        ({"value": "700 lb", "includes": ["fuel", 3]}, "mass", "includes"),
    ],
)
def test_refused(raw: object, dimension: Dimension, says: str) -> None:
    """A bare number, a wrong or unknown unit and nonsense are refused, saying what is due."""
    with pytest.raises(QuantityError, match=says):
        parse(raw, dimension)


@pytest.mark.parametrize(
    ("most", "more", "dimension"),
    [
        ("0 kg +- 250 kg", "0 kg +- 251 kg", "mass"),
        ("0 m +- 2 m", "0 m +- 2.01 m", "length"),
        ("0 rad +- 0.6 rad", "0 rad +- 0.61 rad", "angle"),
        ("0 % +- 100 %", "0 % +- 101 %", "share"),
        ("0 L +- 500 L", "0 L +- 501 L", "volume"),
        ("0 N +- 10 kN", "0 N +- 10.1 kN", "force"),
        ("0 psi +- 0 psi", "0 psi +- 1 psi", "pressure"),
        ("-100 kg +- 500 kg", "-100 kg +- 501 kg", "mass"),
        ("60 kg +- 300 kg", "60 kg +- 301 kg", "mass"),
        ("1e9 kg", "1.001e9 kg", "mass"),
        ("-1e9 m", "-1.001e9 m", "length"),
        ("1 kg" + " " * 96, "1 kg" + " " * 97, "mass"),
    ],
)
def test_the_edge_of_what_can_be_meant(most: str, more: str, dimension: Dimension) -> None:
    """Nothing, give or take a person or two, is no typing error, five times the number is, as
    docs/rig-file.md has it; no number is above a billion in SI, and no text above 100 letters
    (assumed)."""
    assert parse(most, dimension).text == most.strip()
    with pytest.raises(QuantityError):
        parse(more, dimension)


@pytest.mark.parametrize(
    ("si", "like", "text"),
    [
        (3.8309, "4.2 m", "3.831 m"),
        (3.8309, "4.2 m +- 5 cm", "3.831 m"),
        (3.8309, "420 cm", "383.1 cm"),
        (3.8309, "4200 mm", "3831 mm"),
        (3.8309, "13 ft 2 in", "12 ft 6.82 in"),
        (3.6576, "13 ft 2 in", "12 ft 0.00 in"),
        (-0.5, "1 m", "-0.500 m"),
        (-0.0001, "1 m", "0.000 m"),
    ],
)
def test_written_as_the_other_was(si: float, like: str, text: str) -> None:
    """A file keeps its own units, and what is written is read as the same to a millimetre."""
    assert written_like(si, like, "length", 0.001) == text
    assert parse(text, "length").value == pytest.approx(si, abs=0.0006)


def test_table_keeps_what_was_said() -> None:
    """A table carries spread, basis, includes and kind."""
    raw = {
        "value": "6300 lb",
        "spread": "1 %",
        "basis": "weighed",
        "includes": ["propane"],
        "kind": "scale",
    }
    found = parse(raw, "mass")
    assert (found.basis, found.includes, found.kind) == ("weighed", ("propane",), "scale")
    assert found.sd == pytest.approx(63 * POUND / 1.959963985)
    assert found.text == "6300 lb +- 1 %"


@pytest.mark.parametrize(
    ("kind", "least", "less", "most", "more"),
    [
        (fields.Mass, "0 kg", "-1 kg", "100000 kg", "100001 kg"),
        (fields.PositiveMass, "1 g", "0 kg", "100000 kg", "100001 kg"),
        (fields.Rating, "1 g", "0 kg", "100000 kg", "100001 kg"),
        (fields.Station, "-100 m", "-100.1 m", "100 m", "100.1 m"),
        (fields.Length, "1 mm", "0 m", "100 m", "100.1 m"),
        (fields.Height, "0 m", "-1 mm", "10 m", "10.01 m"),
        (fields.Pressure, "1 kPa", "0 kPa", "20 bar", "20.1 bar"),
        (fields.RatedPressure, "1 kPa", "0 kPa", "20 bar", "20.1 bar"),
        (fields.Angle, "-0.6 rad", "-0.61 rad", "0.6 rad", "0.61 rad"),
        (fields.PresetAngle, "-0.2 rad", "-0.21 rad", "0.2 rad", "0.21 rad"),
        (fields.Share, "0 %", "-1 %", "100 %", "101 %"),
        (fields.Time, "1 s", "0 s", "100000 s", "100001 s"),
        (fields.Moment, "1 N m", "0 N m", "5000 N m", "5001 N m"),
        (fields.Distance, "0 m", "-1 m", "10000 km", "10001 km"),
        (fields.Force, "1 N", "0 N", None, None),
        (fields.Rate, "1 N/m", "0 N/m", None, None),
        (fields.Volume, "1 L", "0 L", None, None),
        (fields.Speed, "1 km/h", "0 km/h", None, None),
        (fields.Power, "1 W", "0 W", None, None),
        (fields.FillLevel, "0 %", "-1 %", "100 %", "101 %"),
        (fields.FillLevel, "0 L", "-1 L", None, None),
        (fields.Economy, "1 km/L", "0 km/L", None, None),
        (fields.Economy, "0.1 L/100km", "0 L/100km", None, None),
        (fields.Economy, "9,5 l / 100 km", "0 L/100km", None, None),
    ],
)
def test_a_field_takes_what_a_road_vehicle_may_have(
    kind: Any, least: str, less: str, most: str | None, more: str | None
) -> None:
    """The least and the most of each kind of field, and a little beyond: refused, saying on which
    side (assumed: no road vehicle has more)."""
    field = TypeAdapter(kind)
    for good in (least, most):
        assert good is None or field.validate_python(good)
    for bad, side in (
        (less, r"above zero|at least zero|below zero|level|no unit"),
        (more, "at most|level"),
    ):
        if bad is not None:
            with pytest.raises(ValidationError, match=side):
                field.validate_python(bad)


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [("6,5 kN", "force", 6500), ("2,55 m", "length", 2.55), ("0,0575 t", "mass", 57.5)],
)
def test_a_decimal_comma_of_metric_units(text: str, dimension: Dimension, si: float) -> None:
    """Much of Europe writes 6,5 kN (hand arithmetic)."""
    assert parse(text, dimension).value == pytest.approx(si)


def test_a_comma_that_may_be_of_thousands_is_no_decimal_one() -> None:
    """Three digits behind a comma are thousands; of 7,20 lb nobody can tell what is meant."""
    assert parse("1,250 kg", "mass").value == pytest.approx(1250)
    with pytest.raises(QuantityError, match="with its unit"):
        parse("7,20 lb", "mass")
