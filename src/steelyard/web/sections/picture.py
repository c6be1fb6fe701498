"""The rig to scale, its loads and its beam, on one ruler."""

from collections.abc import Mapping
from typing import Any, Final

from markupsafe import Markup

from steelyard.drawing import plan_picture, rig_picture
from steelyard.web.bench import Seen
from steelyard.web.look import Look
from steelyard.web.sections.base import Section


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The drawing, made here and escaped there."""
    work = seen.work
    stage, system = look.at(work), look.system(work)
    plan = look.choice.get("plan") == "shown"
    return {
        "picture": Markup(rig_picture(work.found, stage, system, wide=look.wide)),
        "plan": Markup(plan_picture(work.found, stage, system, wide=look.wide)) if plan else None,
    }


SECTION: Final = Section(name="picture", title="The drawing", about="to scale", facts=facts)
