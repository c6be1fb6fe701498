"""Cards read back by other hands: pypdfium2 for text, sizes and raster, zxing-cpp for codes."""

from dataclasses import dataclass
from typing import Any

import pypdfium2 as pdfium
import zxingcpp

MM = 25.4 / 72
"""A PDF point in mm."""


@dataclass(frozen=True)
class Letter:
    """One letter of a page: itself and the height of its ink, mm."""

    letter: str
    height: float


def pages(pdf: bytes) -> list[tuple[float, float]]:
    """Size of each page, mm."""
    return [(w * MM, h * MM) for w, h in (page.get_size() for page in pdfium.PdfDocument(pdf))]


def text(pdf: bytes, page: int) -> str:
    """All words of a page in one line."""
    found = pdfium.PdfDocument(pdf)[page].get_textpage().get_text_bounded()
    return " ".join(found.split())


def letters(pdf: bytes, page: int) -> list[Letter]:
    """Every letter with the height of its own ink."""
    words = pdfium.PdfDocument(pdf)[page].get_textpage()
    found = []
    for i in range(words.count_chars()):
        letter = words.get_text_range(i, 1)
        _, bottom, _, top = words.get_charbox(i)
        found.append(Letter(letter, (top - bottom) * MM))
    return found


def raster(pdf: bytes, page: int, dpi: float = 300) -> Any:
    """A page in grey, as a printer at so many dots an inch would have it."""
    return pdfium.PdfDocument(pdf)[page].render(scale=dpi / 72, grayscale=True).to_numpy()


def codes(pdf: bytes, page: int = 1, dpi: float = 300) -> list[Any]:
    """All QR codes on a page's raster."""
    return list(zxingcpp.read_barcodes(raster(pdf, page, dpi)))
