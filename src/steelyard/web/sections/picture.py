"""The rig to scale, its loads and its beam, on one ruler."""

from collections.abc import Mapping
from typing import Any, Final

from markupsafe import Markup

from steelyard.drawing.plan import plan_picture
from steelyard.drawing.rig import rig_picture
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.sections.load import places_of
from steelyard.web.session import Seen


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The drawing, made here and escaped there; a place that was tapped, grown to the width."""
    work = seen.work
    stage, system = look.at(work), look.system(work)
    plan = look.choice.get("plan") == "shown"
    grown = look.choice.get("place")
    return {
        "grown": next((one for one in places_of(work, system) if one["key"] == grown), None)
        if grown
        else None,
        "picture": Markup(rig_picture(work.found, stage, system, wide=look.wide)),
        "plan": Markup(plan_picture(work.found, stage, system, wide=look.wide)) if plan else None,
    }


SECTION: Final = Section("picture", "The drawing", "to scale", facts)
