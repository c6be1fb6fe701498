"""A weighing drawn: each reading against all the others, and what they did to the share."""

from typing import Final

from steelyard.assessment import Assessment
from steelyard.drawing.paper import INK, LIFT, stacked_sheets
from steelyard.drawing.rows import Dot, Row, Scale, rows_picture
from steelyard.drawing.share import shares_picture
from steelyard.quantity import Z95, System
from steelyard.weighing.mistakes import GROSS
from steelyard.weighing.reconcile import Judged, Reconciled
from steelyard.words.weighed import off_by, read_number

UNCLEAR: Final = "What is believed until it is clear which are right"
EDGES: Final = ((-GROSS, "too low"), (0.0, "as the others say"), (GROSS, "too high"))


def weighing_picture(
    found: Reconciled, before: Assessment, after: Assessment, system: System
) -> str:
    """Readings, and the tongue share before and after them, as SVG."""
    did = "What the weighing did" if found.agrees and not found.slips else UNCLEAR
    shares = shares_picture(did, before, after)
    return stacked_sheets(f"{before.rig.name}: the weighing", _readings(found, system), shares)


def _readings(found: Reconciled, system: System) -> str:
    """Off by how many sd, each reading a row; beyond the outer lines it does not belong."""
    rows = [_row(one, found, system) for one in found.readings]
    below = "each reading less what all the others say, in its standard deviations; whiskers 95 %"
    scale = Scale(title="standard deviations", marks=EDGES)
    return rows_picture("Do the readings agree?", below, rows, scale)


def _row(one: Judged, found: Reconciled, system: System) -> Row:
    suspect = None if found.slips else found.suspect
    odd = suspect is not None and one.name == suspect.name
    x = one.standardised
    dot = Dot(value=x, low=x - Z95, high=x + Z95, diamond=odd, colour=LIFT if odd else INK)
    read, due = (read_number(value, one, system) for value in (one.value, one.value - one.error))
    return Row(
        name=one.name, dots=(dot,), said=f"{off_by(one, found)}; {read} read, {due} expected"
    )
