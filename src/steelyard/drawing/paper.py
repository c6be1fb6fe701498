"""Ink and paper: the colours, lines, marks and lettering that all pictures share.

Colours are CSS custom properties with the colours of print behind them, so a page's dark theme
redraws nothing. Two hues only: blue presses on the ball, ochre lifts off it.
"""

import re
from functools import lru_cache
from math import ceil
from typing import Final
from xml.sax.saxutils import quoteattr

from steelyard.drawing.svg import Attribute, Markup, element, join
from steelyard.words.trade import said

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
WIDTH: Final = {True: 1280.0, False: 390.0}
LEFT: Final = {True: 24.0, False: 14.0}
TEXT: Final = {True: SMALL, False: PHONE}
"""Of a wide sheet or a phone's: how wide it is, where words begin, how large they are."""
FAMILIES: Final = "DejaVu Sans,Segoe UI,Helvetica Neue,Arial,Noto Sans,sans-serif"
"""Fonts of print, the first that is there; the widths reckoned with hold for any of them."""
_VARIABLE: Final = re.compile(r"var\(--[a-z-]+,([^()]+)\)")
_MINUS: Final = re.compile(r"(?<![\w.,)])-(?=\d)")
_KEPT: Final = re.compile(r"(?<=±) | (?=±)|(?<=\d) (?=(?:lb|kg|in|mm|mph|km/h|%|sd|points)\b|%)")
"""Spaces at which a number, its spread and its unit must not part."""
KEEP: Final = "\N{NO-BREAK SPACE}"

_WIDTHS: Final[dict[float, str]] = {
    0.30: "'ijl ,.IJ·\N{NO-BREAK SPACE}",
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


def minus(text: str) -> str:
    """The text with minus signs where it has hyphens before numbers."""
    return _MINUS.sub("−", text) if "-" in text else text


def lettering(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a text as it is said, in units of the drawing; that of the widest usual sans, so a
    safe one."""
    return _lettering(said(text), size, bold=bold)


@lru_cache(maxsize=4096)
def _lettering(text: str, size: float, *, bold: bool) -> float:
    letters = minus(text)
    width = sum(_WIDTH_OF.get(one) or (0.66 if one < "\u2e80" else 1.05) for one in letters)
    return width * size * (1.1 if bold else 1.0)


def fitted(text: str, size: float, room: float, *, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits, with an ellipsis; empty if next to nothing."""
    text = said(text)
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
) -> Markup:
    """One line of text on its base line."""
    return element(
        "text",
        minus(said(text)),
        x=x,
        y=y,
        font_size=size,
        text_anchor=None if anchor == "start" else anchor,
        font_weight="700" if bold else None,
        fill=fill,
    )


def lifted(*parts: str, ground: str = PAPER, width: float = 3.0) -> Markup:
    """Words with a rim in the colour of the ground, so that a line behind them does not cross."""
    rim = {"stroke_linejoin": "round", "paint_order": "stroke"}
    return element("g", *parts, stroke=ground, stroke_width=width, **rim)


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


def whisker(
    x0: float,
    y0: float,
    x1: float,
    y1: float,
    cap: float = 6.0,
    width: float = 1.6,
    **more: Attribute,
) -> Markup:
    """A spread, upright or level, with a stroke across each of its ends."""
    dx, dy = (cap, 0.0) if x0 == x1 else (0.0, cap)
    ends = (stroke(x - dx, y - dy, x + dx, y + dy, width, **more) for x, y in ((x0, y0), (x1, y1)))
    return join(stroke(x0, y0, x1, y1, width, **more), *ends)


def dot(x: float, y: float, r: float = 5.0, *, diamond: bool = False, **more: Attribute) -> Markup:
    """A round mark, or a diamond of about its size; in ink unless told otherwise."""
    more.setdefault("fill", INK)
    if not diamond:
        return element("circle", cx=x, cy=y, r=r, **more)
    r += 2.0
    return element("path", d=f"M{x:.1f} {y - r:.1f}l{r} {r} {-r} {r} {-r} {-r}Z", **more)


def unparted(text: str) -> str:
    """The text with a number, its spread and its unit held together."""
    return _KEPT.sub(KEEP, text)


def broken(text: str, size: float, room: float, most: int = 3, *, bold: bool = False) -> list[str]:
    """Text in lines no wider than `room`, as far as its words allow; the last holds the rest."""
    lines: list[str] = []
    for word in unparted(said(text).strip()).split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and (lettering(longer, size, bold=bold) <= room or len(lines) == most):
            lines[-1] = longer
        else:
            lines.append(word)
    return [fitted(line, size, room, bold=bold) for line in lines]


def heading(title: str, below: str, *, wide: bool) -> tuple[Markup, float]:
    """Title and a faint line below it, broken where they must; and the y of what comes next."""
    x, room = LEFT[wide], WIDTH[wide] - 2 * LEFT[wide]
    large, small = (LARGE, NORMAL) if wide else (15.0, PHONE)
    parts, y = [], 0.0
    for line in broken(title, large, room, bold=True):
        y += large * 1.25
        parts.append(words(x, y, line, large, bold=True))
    for line in broken(below, small, room) if below else ():
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
    """The whole picture: one root, told in words for those who do not see it.

    Its height is a multiple of four: else typst, rasterising, drops a row of pixels.
    """
    width, height = size[0], 4.0 * ceil(size[1] / 4.0)
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


def stacked_sheets(title: str, *pictures: str, below: str = "") -> Markup:
    """Whole pictures of one width below each other under one title and a faint line."""
    head, y = heading(title, below, wide=True)
    parts, width = [head], 0.0
    for picture in pictures:
        root, inner = picture.split(">", 1)
        _, _, wide, tall = map(float, root.split('viewBox="')[1].split('"')[0].split())
        parts.append(shifted(y, Markup(inner.removesuffix("</svg>"))))
        y, width = y + tall + 22.0, max(width, wide)
    return sheet("figure", title, title, (width, y), *parts)


def printable(drawing: str, *, font: str = FAMILIES) -> str:
    """The same drawing in plain colours on white, for what prints without knowing CSS variables."""
    white = drawing.replace(PAPER, "#ffffff").replace(quoteattr(SANS), quoteattr(font))
    return _VARIABLE.sub(r"\1", white)
