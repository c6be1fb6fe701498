"""The tongue share in its wanted band: in a line of a list, and at each stage before and after."""

from typing import Final

from steelyard.assessment import Assessment, Spread
from steelyard.drawing import paper
from steelyard.drawing.rows import Dot, Row, Scale, rows_picture
from steelyard.drawing.svg import Markup, element
from steelyard.words.assessed import share_spread

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


def wanted(found: Assessment) -> tuple[float, float] | None:
    """Edges of the wanted tongue share, %; None where no rule gives them."""
    for stage in found.stages:
        for limit in (*stage.limits, *stage.notes):
            if limit.kind == "band" and limit.band is not None:
                return 100 * limit.band[0], 100 * limit.band[1]
    return None


def shares_picture(
    title: str, before: Assessment, after: Assessment | None, aim: float | None = None
) -> str:
    """Hollow before, full after, with their 95 % intervals, as SVG; `aim` is a share wanted."""
    rows = []
    for place, old in enumerate(before.stages):
        new = after.stages[place] if after else None
        dots = [_dot(old.tongue.share, hollow=True)]
        said = share_spread(old.tongue.share)
        if new is not None:
            dots.append(_dot(new.tongue.share, hollow=False))
            said = f"{said} before, {share_spread(new.tongue.share)} after"
        rows.append(Row(name=old.title, dots=tuple(dots), said=said))
    band = wanted(after or before)
    below = "hollow before, full after; whiskers 95 %" if after else "whiskers 95 %"
    below += "; the pale band is wanted" if band else ""
    marks = () if aim is None else ((100 * aim, "aimed at"),)
    scale = Scale(title="tongue share, % of the trailer", marks=marks, band=band)
    return rows_picture(title, below, rows, scale)


def _dot(share: Spread, *, hollow: bool) -> Dot:
    value, low, high = (100 * x for x in (share.value, share.low, share.high))
    return Dot(
        value=value,
        low=low,
        high=high,
        hollow=hollow,
        colour=paper.FAINT if hollow else paper.PRESS,
    )
