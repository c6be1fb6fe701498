"""How far the rig is from swaying, in one line under the sentence."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.scene import DRAWS
from steelyard.swaying.stage_sway import glance
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen
from steelyard.words.assessed import chance
from steelyard.words.sway import calms, speed, starts


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """Where sway grows and how fast a swing calms, at the stage in view."""
    work = seen.work
    system = look.system(work)
    try:
        found = work.apart(glance, work.rig, work.found.estimate, look.at(work), samples=DRAWS)
    except ValueError as error:
        return {"fault": str(error)}
    return {
        "fault": None,
        "starts": starts(found, system),
        "speed": speed(found.chosen_speed, system),
        "calms": calms(found.at_calm),
        "chance": chance(found.chance_below),
        "ratio": f"{found.chosen_ratio:g}",
    }


SECTION: Final = Section("edge", "Sway in a line", "from what speed it grows", facts, slow=True)
