"""Quantities as people write them."""

import pytest

from steelyard.quantity import Dimension, QuantityError, parse, written_like
from steelyard.quantity.constants import FOOT, INCH, POUND


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
    ("raw", "dimension"),
    [("0 lb +- 400 lb", "mass"), ("0 in +- 4 ft", "length"), ("0 % +- 100 %", "share")],
)
def test_a_number_near_zero_may_be_little_known(raw: str, dimension: Dimension) -> None:
    """Nothing, give or take a person or two, is no typing error."""
    assert parse(raw, dimension).sd is not None


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
