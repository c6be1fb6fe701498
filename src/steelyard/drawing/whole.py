"""The whole rig on one sheet: from the side with its loads and lever, and from above."""

from steelyard.assessment import Assessment
from steelyard.drawing.paper import stacked_sheets
from steelyard.drawing.plan import plan_picture
from steelyard.drawing.rig import rig_picture
from steelyard.quantity import System
from steelyard.words.assessed import verdict_line


def whole_picture(found: Assessment, system: System) -> str:
    """The worst stage, under the verdict in words, as SVG."""
    stage = found.worst_stage
    pictures = (draw(found, stage.key, system) for draw in (rig_picture, plan_picture))
    title = f"{found.rig.name}, {stage.title}"
    return stacked_sheets(title, *pictures, below=verdict_line(found, system))
