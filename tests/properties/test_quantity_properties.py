"""What holds of every quantity, whatever its number."""

import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.quantity import Dimension, QuantityError, parse, to_border
from steelyard.quantity.units import BORDER_UNIT, UNITS, factor

NUMBERS = st.floats(min_value=-1e6, max_value=1e6, allow_nan=False).filter(
    lambda x: x == 0 or abs(x) > 1e-6
)
PAIRS = st.sampled_from([(dimension, unit) for dimension, units in UNITS.items() for unit in units])
DIMENSIONS: list[Dimension] = list(UNITS)


@given(PAIRS, NUMBERS)
def test_written_and_read_again(pair: tuple[Dimension, str], number: float) -> None:
    """A number written with any unit comes back as number times unit, sign included."""
    dimension, unit = pair
    si = number * factor(unit, dimension)
    if abs(si) <= 1e9:
        assert parse(f"{number!r} {unit}", dimension).value == pytest.approx(si, rel=1e-15)


@given(st.sampled_from(list(product(DIMENSIONS, ("us", "metric")))), NUMBERS)
def test_border_round_trip(pair: tuple[Dimension, str], number: float) -> None:
    """SI to the reader's unit and back is the same number."""
    dimension, system = pair
    unit = BORDER_UNIT[system][dimension]  # type: ignore[index]
    there = to_border(number, dimension, system)  # type: ignore[arg-type]
    assert there * factor(unit, dimension) == pytest.approx(number, rel=1e-15)


@given(st.integers(0, 99), st.integers(0, 11), st.integers(1, 15))
def test_feet_inches_and_sixteenths(feet: int, inches: int, sixteenths: int) -> None:
    """`f ft i n/16 in` is the sum of its parts."""
    text = f"{feet} ft {inches} {sixteenths}/16 in"
    assert parse(text, "length").value == pytest.approx(
        0.3048 * (feet + (inches + sixteenths / 16) / 12), rel=1e-12
    )


@given(st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_bare_fractions(top: int, bottom: int) -> None:
    """`n/m in` is n over m inches."""
    assert parse(f"{top}/{bottom} in", "length").value == pytest.approx(0.0254 * top / bottom)


@given(st.text(max_size=30), st.sampled_from(DIMENSIONS))
def test_any_text_is_read_or_refused(text: str, dimension: Dimension) -> None:
    """Whatever is typed is a finite number, or the one error that says what is due."""
    try:
        found = parse(text, dimension)
    except QuantityError:
        return
    assert math.isfinite(found.value)
