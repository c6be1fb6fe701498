"""A plan drawn: the rig packed now and by the plan, and the share at every stage."""

from steelyard.assessment import Assessment
from steelyard.drawing.names import item_name
from steelyard.drawing.paper import stacked_sheets
from steelyard.drawing.rig import rig_picture
from steelyard.drawing.share import shares_picture
from steelyard.quantity import System
from steelyard.stowing.stow import Stowed


def stow_picture(found: Stowed, system: System) -> str:
    """Now, then, and the shares, as SVG; what moves stands out."""
    before, plan = found.before, found.found
    name = found.rig.name
    if plan is None:
        now = _packed(before, before.worst_stage.key, system, frozenset(), "Packed now")
        shares = shares_picture("Tongue share as packed now", before, None, found.target)
        return stacked_sheets(f"{name}: no plan was found", now, shares, below=found.conflict)
    after, key = plan.assessment, before.worst_stage.key
    moved = frozenset(n for n, place in plan.plan.items() if found.rig.items[n].place != place)
    home = ", ".join(item_name(found.rig, item) for item in found.left)
    said = f"{len(moved)} to be moved, drawn thick" if moved else "nothing has to be moved"
    pictures = [_packed(before, key, system, moved, "Packed now")]
    if moved or home:
        pictures.append(_packed(after, key, system, moved, "By the plan"))
    pictures.append(shares_picture("What the plan does", before, after, found.target))
    below = f"{said}; stays home: {home}" if home else said
    return stacked_sheets(f"{name}: where everything should ride", *pictures, below=below)


def _packed(
    found: Assessment, stage: str, system: System, moved: frozenset[str], words: str
) -> str:
    """The rig at one stage with a heading that says which."""
    title = next(one.title for one in found.stages if one.key == stage)
    picture = rig_picture(found, stage, system, moved=moved, lever=False)
    return stacked_sheets(f"{words} ({title})", picture)
