"""How much room the deciding limit of every stage leaves, as part of its rating."""

from steelyard.assessment import Assessment, StageResult
from steelyard.drawing.paper import INK, LIFT
from steelyard.drawing.rows import Dot, Row, Scale, rows_picture
from steelyard.quantity import Z95, System
from steelyard.words.assessed import MARKS, room


def room_picture(found: Assessment, system: System) -> str:
    """Each stage a row; left of the line the limit is exceeded."""
    rows = [_row(stage, system) for stage in found.stages]
    below = "the limit that decides at each stage; whiskers 95 %; left of the line it is exceeded"
    scale = Scale(title="room left, % of the rating", marks=((0.0, "at its rating"),))
    return rows_picture("How much room is left", below, rows, scale)


def _row(stage: StageResult, system: System) -> Row:
    limit = stage.deciding
    if limit is None or not limit.rating:
        said = MARKS[stage.verdict] + (f": {limit.title}" if limit else ", no rating known")
        return Row(name=stage.title, dots=(), said=said)
    x, half = (100 * y / abs(limit.rating) for y in (limit.margin, Z95 * limit.sd))
    bad = stage.verdict in ("cannot tell", "exceeded")
    dot = Dot(value=x, low=x - half, high=x + half, diamond=bad, colour=LIFT if bad else INK)
    said = f"{MARKS[stage.verdict]}: {limit.title}, {room(limit, system)}"
    return Row(name=stage.title, dots=(dot,), said=said)
