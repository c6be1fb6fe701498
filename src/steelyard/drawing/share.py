"""The tongue share of one rig in a line of a list: its spread in the wanted band."""

from typing import Final

from steelyard.drawing import paper
from steelyard.drawing.svg import Markup, element

WIDTH, HEIGHT, MIDDLE = 190.0, 42.0, 13.0
INSET: Final = 46.0
"""Units from each side to the band's edges, so that what lies beyond them is seen."""


def share_gauge(
    share: tuple[float, float, float],
    band: tuple[float, float] | None,
    title: str,
    *,
    weighed: bool,
) -> Markup:
    """Value, low and high in %, in the band wanted, if any; a filled dot where it was weighed."""
    value, low, high = share
    edges = band or (low - (high - low), high + (high - low))
    unit = (WIDTH - 2 * INSET) / max(edges[1] - edges[0], 1e-6)

    def x(at: float) -> float:
        return min(max(INSET + (at - edges[0]) * unit, 6.0), WIDTH - 6.0)

    parts: list[Markup] = []
    if band is not None:
        parts.append(paper.block(x(band[0]), 3.0, x(band[1]) - x(band[0]), 20.0, fill=paper.BAND))
        for edge in band:
            parts.append(paper.stroke(x(edge), 3.0, x(edge), 23.0, 1.2, stroke=paper.FAINT))
            parts.append(
                paper.words(
                    x(edge), 38.0, f"{edge:.0f} %", paper.SMALL, anchor="middle", fill=paper.FAINT
                )
            )
    parts.append(paper.whisker(x(low), MIDDLE, x(high), MIDDLE))
    fill = paper.INK if weighed else paper.PAPER
    parts.append(paper.dot(x(value), MIDDLE, 4.5, fill=fill, stroke=paper.INK, stroke_width=2.0))
    way = "weighed" if weighed else "estimated"
    said = f"{title}: {value:.1f} %, {low:.1f} to {high:.1f}, {way}"
    return element(
        "svg",
        element("title", said),
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH:.0f} {HEIGHT:.0f}",
        class_="drawing share",
        role="img",
        aria_label=said,
    )
