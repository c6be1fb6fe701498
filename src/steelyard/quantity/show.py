"""Writing quantities for people: whole pounds or kilograms, feet and inches, honest rounding."""

from typing import Final

from steelyard.quantity.units import DIGITS, Dimension, System, to_border, unit_of
from steelyard.quantity.value import Z95

MOST_DIGITS: Final = 9
"""After the point: what is told apart by no more is a rounding's doing."""


def shown(si: float, dimension: Dimension, system: System, digits: int | None = None) -> str:
    """`"812 lb"`, `"64.5 in"`: one SI number in the reader's unit, thousands separated; digits: as
    many as the unit needs by default."""
    unit = unit_of(dimension, system)
    digits = DIGITS.get(unit, 0) if digits is None else digits
    return f"{plain(to_border(si, dimension, system), digits)} {unit}"


def apart(si: float, dimension: Dimension, system: System, *others: float) -> str:
    """`"3.64 lb"`: one SI number with the digits that keep it to half a percent and tell it from
    others that it is not."""
    x, *rest = (to_border(one, dimension, system) for one in (si, *others))
    least = DIGITS.get(unit_of(dimension, system), 0)
    told = (
        digits
        for digits in range(least, MOST_DIGITS)
        if abs(round(x, digits) - x) <= abs(x) / 200
        and all(y == x or round(y, digits) != round(x, digits) for y in rest)
    )
    return shown(si, dimension, system, next(told, MOST_DIGITS))


def plain(number: float, digits: int = 0) -> str:
    """A number with thousands separated and no minus sign on a zero."""
    return f"{number:z,.{digits}f}"


def with_spread(
    si: float, sd: float, dimension: Dimension, system: System, digits: int | None = None
) -> str:
    """`"812 ± 34 lb"`, where ± is the half-width of the 95 % interval."""
    half = to_border(Z95 * sd, dimension, system)
    number, unit = to_border(si, dimension, system), unit_of(dimension, system)
    digits = DIGITS.get(unit, 0) if digits is None else digits
    return f"{plain(number, digits)} ± {plain(half, digits)} {unit}"


def cell(value: object) -> object:
    """What a spreadsheet takes as it is: a text that it would work out as a formula is quoted."""
    formula = isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r")
    return f"'{value}" if formula else value


def percent(share: float, digits: int = 1) -> str:
    """`"12.3 %"`."""
    return f"{100 * share:z.{digits}f} %"
