"""The trip as a curve, and its stages to pick."""

from collections.abc import Mapping
from typing import Any, Final

from markupsafe import Markup

from steelyard.drawing import trip_curve
from steelyard.web.bench import Bench
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.words import MARKS, share_spread


def facts(bench: Bench, look: Look) -> Mapping[str, Any]:
    """The curve of what is plotted, and a line a stage."""
    work = bench.work
    chosen, system, found = look.at(work), look.system(work), work.found
    curve = trip_curve(found, system, quantity=look.plot, chosen=chosen, wide=look.wide)
    return {
        "curve": Markup(curve),
        "plot": look.plot,
        "axles": [axle.name for axle in found.stages[0].axles],
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


SECTION: Final = Section(
    name="trip", title="The trip", about="every stage, the worst one marked", facts=facts
)
