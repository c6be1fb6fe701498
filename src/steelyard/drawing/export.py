"""A picture as the bytes of a file: SVG in plain colours, and PNG or PDF made of it."""

from typing import Final, Literal

from steelyard.drawing.paper import printable
from steelyard.drawing.svg import Markup, element

PIXELS: Final = 144.0
"""Pixels an inch, of PNG: one and a half for each unit of the drawing."""
_SHEET: Final = b"""#set page(width: auto, height: auto, margin: 0pt)
#set document(date: none)
#image(bytes(sys.inputs.svg), format: "svg")
"""


def exported(picture: str, kind: str) -> bytes:
    """The picture on white paper as `svg`, `pdf` or, for any other kind, PNG; the same picture
    gives the same bytes on one machine."""
    root, inner = printable(picture).split(">", 1)
    _, _, wide, tall = root.split('viewBox="')[1].split('"')[0].split()
    paper = element("rect", width=float(wide), height=float(tall), fill="#ffffff")
    svg = f'{root} width="{wide}" height="{tall}">{paper}{Markup(inner)}\n'
    if kind == "svg":
        return svg.encode()
    import typst

    page: Literal["pdf", "png"] = "pdf" if kind == "pdf" else "png"
    return typst.compile(_SHEET, format=page, ppi=PIXELS, sys_inputs={"svg": svg})
