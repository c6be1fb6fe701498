"""Codes as pictures, as large as a printer and a phone need them."""

from typing import TYPE_CHECKING, Final

from steelyard.cards.codes import Packed
from steelyard.cards.result import Code

if TYPE_CHECKING:
    from segno import QRCode

MODULE: Final = (0.40, 0.60)
"""mm: smallest and largest module printed."""
SIDE: Final = 60.0
"""mm: most one code takes, quiet zone included."""
QUIET: Final = 4
"""Modules left white on every side (ISO/IEC 18004)."""

MASK: Final = 3
"""Compressed data look random, so one mask is as good as another; trying all takes 0.1 s a code."""


def drawn(packed: Packed) -> tuple[Code, ...]:
    """One picture a code: mending level M where it stays readable in its room, else L."""
    return tuple(_drawn(text, len(packed.codes)) for text in packed.codes)


def _drawn(text: str, count: int) -> Code:
    most = SIDE / MODULE[0] * (1.0 if count == 1 else 0.9)
    made = _made(text, "M")
    if _modules(made) > most:
        made = _made(text, "L")
    modules = _modules(made)
    svg = str(made.svg_inline(border=QUIET, omitsize=True, light="#fff"))
    return Code(
        text=text,
        svg=svg.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1),
        modules=modules,
        side=min(SIDE, MODULE[1] * modules),
    )


def _made(text: str, level: str) -> "QRCode":
    import segno

    return segno.make(
        text, mode="alphanumeric", error=level, boost_error=False, micro=False, mask=MASK
    )


def _modules(made: "QRCode") -> int:
    """Modules a side, quiet zone included."""
    return int(made.symbol_size(border=QUIET)[0])
