"""Ink and paper: the colours, lines and lettering that all pictures share.

Colours are CSS custom properties with the colours of print behind them, so a page's dark theme
redraws nothing. Two hues only: blue presses on the ball, ochre lifts off it.
"""

import re
from functools import lru_cache
from typing import Final
from xml.sax.saxutils import quoteattr

from steelyard.drawing.svg import Attribute, Markup, element, join

INK: Final = "var(--ink,#1b2530)"
PAPER: Final = "var(--paper,#faf9f4)"
FAINT: Final = "var(--faint,#56606a)"
LINE: Final = "var(--line,#a9afb3)"
BAND: Final = "var(--band,#e8e4d8)"
PRESS: Final = "var(--press,#1f4e79)"
LIFT: Final = "var(--lift,#a85c08)"
SPREAD: Final = "var(--spread,#9db4c8)"
SANS: Final = "var(--sans,system-ui,sans-serif)"
DASH: Final = "5 3.5"
"""An edge that rests on an assumed number."""
SMALL: Final = 12.0
NORMAL: Final = 13.0
LARGE: Final = 17.0
PHONE: Final = 11.5
WIDE_WIDTH: Final = 1280.0
PHONE_WIDTH: Final = 390.0
_VARIABLE: Final = re.compile(r"var\(--[a-z-]+,([^()]+)\)")

_WIDTHS: Final[dict[float, str]] = {
    0.30: "'ijl ,.IJ·",
    0.40: "-/:;\\f|!()[]rt",
    0.50: '"*_`–°',
    0.60: "?FLckszPTYaeovxy",
    0.65: "$0123456789EKSbdghnpqu{}µ",
    0.70: "ABCRVXZ",
    0.80: "DHNU&GOQw",
    0.86: "#+<=>M^~±−×",
    0.92: "●◐▲",
    1.00: "%m@W…",
}
_WIDTH_OF: Final = {letter: w for w, letters in _WIDTHS.items() for letter in letters}


@lru_cache(maxsize=4096)
def lettering(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a text, in units of the drawing; that of the widest usual sans, so a safe one."""
    width = sum(_WIDTH_OF.get(letter) or (0.66 if letter < "\u2e80" else 1.05) for letter in text)
    return width * size * (1.1 if bold else 1.0)


def fitted(text: str, size: float, room: float, *, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits, with an ellipsis; empty if next to nothing."""
    if lettering(text, size, bold=bold) <= room:
        return text
    while text and lettering(text + "…", size, bold=bold) > room:
        text = text[:-1]
    return text.rstrip() + "…" if len(text) > 1 else ""


def words(
    x: float,
    y: float,
    text: str,
    size: float = NORMAL,
    *,
    anchor: str = "start",
    bold: bool = False,
    fill: str = INK,
    class_: str | None = None,
) -> Markup:
    """One line of text on its base line."""
    return element(
        "text",
        text,
        x=x,
        y=y,
        font_size=size,
        text_anchor=None if anchor == "start" else anchor,
        font_weight="700" if bold else None,
        fill=fill,
        class_=class_,
    )


def stroke(
    x0: float, y0: float, x1: float, y1: float, width: float = 1.2, **more: Attribute
) -> Markup:
    """A straight line, in ink unless told otherwise."""
    more.setdefault("stroke", INK)
    return element("line", x1=x0, y1=y0, x2=x1, y2=y1, stroke_width=width, **more)


def block(
    x: float, y: float, width: float, height: float, *children: str, **more: Attribute
) -> Markup:
    """A rectangle by its upper left corner."""
    size = {"x": x, "y": y, "width": max(width, 0.0), "height": max(height, 0.0)}
    return element("rect", *children, **size, **more)


def shifted(dy: float, *parts: str) -> Markup:
    """Parts moved down by dy."""
    return element("g", *parts, transform=f"translate(0 {dy:.2f})")


def broken(text: str, size: float, room: float, most: int = 3, *, bold: bool = False) -> list[str]:
    """Text in lines no wider than `room`, as far as its words allow; the last holds the rest."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and (lettering(longer, size, bold=bold) <= room or len(lines) == most):
            lines[-1] = longer
        else:
            lines.append(word)
    return [fitted(line, size, room, bold=bold) for line in lines]


def heading(title: str, below: str, *, wide: bool) -> tuple[Markup, float]:
    """Title and a faint line below it, broken where they must; and the y of what comes next."""
    x, room = (24.0, WIDE_WIDTH - 48.0) if wide else (14.0, PHONE_WIDTH - 28.0)
    large, small = (LARGE, NORMAL) if wide else (15.0, PHONE)
    parts, y = [], 0.0
    for line in broken(title, large, room, bold=True):
        y += large * 1.25
        parts.append(words(x, y, line, large, bold=True))
    for line in broken(below, small, room):
        y += small * 1.45
        parts.append(words(x, y, line, small, fill=FAINT))
    return join(*parts), y + 8.0


def sheet(
    kind: str,
    title: str,
    description: str,
    size: tuple[float, float],
    *parts: str,
    active: bool = False,
    **data: Attribute,
) -> Markup:
    """The whole picture: one root, told in words for those who do not see it."""
    width, height = size
    return element(
        "svg",
        element("title", title),
        element("desc", description),
        join(*parts),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width:.0f} {height:.0f}",
        class_=f"drawing {kind}",
        role="group" if active else "img",
        aria_label=title,
        font_family=SANS,
        style="font-variant-numeric:tabular-nums;max-width:100%",
        **data,
    )


def printable(drawing: str, *, font: str | None = None) -> str:
    """The same drawing in plain colours on white, for what prints without knowing CSS variables.

    font: family to set it in; the widths reckoned with hold for any usual sans.
    """
    white = drawing.replace(PAPER, "#ffffff")
    if font is not None:
        white = white.replace(quoteattr(SANS), quoteattr(font))
    return _VARIABLE.sub(r"\1", white)
