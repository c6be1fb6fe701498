"""Exact constants, each written once. Everything else is derived from them.

Source: the international yard and pound agreement of 1959 (0.3048 m, 0.45359237 kg) and the
third CGPM's standard gravity (9.80665 m/s2); all are exact definitions.
"""

from typing import Final

POUND: Final = 0.45359237
"""kg in one avoirdupois pound."""
FOOT: Final = 0.3048
"""m in one international foot."""
INCH: Final = FOOT / 12
GRAVITY: Final = 9.80665
"""Standard gravity, m/s2: turns kilograms into newtons and back at the border."""
POUND_FORCE: Final = POUND * GRAVITY
US_GALLON: Final = 231 * INCH**3
"""m3 in one US liquid gallon (231 cubic inches)."""
IMPERIAL_GALLON: Final = 4.54609e-3
"""m3 in one imperial gallon (exact since 1985)."""
LITRE: Final = 1e-3
MILE: Final = 5280 * FOOT
HOUR: Final = 3600.0
AIR: Final = 1.225
"""kg/m3 of air at sea level and 15 C, as the standard atmosphere has it (ISO 2533)."""
