"""The trip as a curve, and its stages to pick."""

from collections.abc import Mapping
from typing import Any, Final

from markupsafe import Markup

from steelyard.drawing.trip import trip_curve
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen
from steelyard.words.assessed import MARKS, share_spread

PLOTS: Final = {
    "share": "tongue share",
    "ball": "ball",
    "vehicle": "whole vehicle",
    "trailer": "whole trailer",
    "damping": "damping of a swing",
}
"""What can be plotted besides the axles."""


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The curve of what is plotted, and a line a stage."""
    work = seen.work
    chosen, system, found = look.at(work), look.system(work), work.found
    plots = PLOTS | {axle.name: axle.name for axle in found.stages[0].axles}
    plot = look.plot if look.plot in plots else "share"
    damping = work.dampings if plot == "damping" else None
    curve = trip_curve(found, system, quantity=plot, chosen=chosen, damping=damping, wide=look.wide)
    return {
        "curve": Markup(curve),
        "plot": plot,
        "plots": plots,
        "chosen": chosen,
        "stages": [
            {
                "key": one.key,
                "title": one.title,
                "share": share_spread(one.tongue.share),
                "mark": MARKS[one.verdict],
                "worst": one is found.worst_stage,
            }
            for one in found.stages
        ],
    }


SECTION: Final = Section("trip", "The trip", "every stage, the worst one marked", facts)
