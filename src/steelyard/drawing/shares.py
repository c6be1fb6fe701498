"""The tongue share at every stage before and after something, in the wanted band."""

from steelyard.assessment import Assessment, Spread
from steelyard.drawing.paper import FAINT, PRESS
from steelyard.drawing.rows import Dot, Row, Scale, rows_picture
from steelyard.words.assessed import share_spread


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
    return Dot(value=value, low=low, high=high, hollow=hollow, colour=FAINT if hollow else PRESS)
