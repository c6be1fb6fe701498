"""The vehicle identification number: its check digit, and that two labels are of one vehicle."""

import re
from typing import Final

_FORM: Final = re.compile(r"(?<![A-Z0-9])([A-HJ-NPR-Z0-9]{8}[0-9X][A-HJ-NPR-Z0-9]{8})(?![A-Z0-9])")
_VALUES: Final = {
    **{str(digit): digit for digit in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
_WEIGHTS: Final = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)


def right(vin: str) -> bool:
    """Whether the ninth sign is the check digit of the others.

    The remainder of the weighted sum over 11, X for 10. Source: 49 CFR 565.15, whose worked example
    is 1G4AH59H45G118341.

    >>> right("1G4AH59H45G118341")
    True
    """
    rest = sum(_VALUES[sign] * weight for sign, weight in zip(vin, _WEIGHTS, strict=True)) % 11
    return vin[8] == ("X" if rest == 10 else str(rest))


def vins(text: str) -> tuple[list[str], bool]:
    """The numbers of a text in capitals whose check digit is right, and whether one's is not."""
    found = [match[1] for match in _FORM.finditer(text) if any(sign.isalpha() for sign in match[1])]
    good = [vin for vin in found if right(vin)]
    return good, len(good) < len(found)
