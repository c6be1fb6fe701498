"""What to read next: how much each reading that could be taken would sharpen the answer."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.quantity import percent
from steelyard.typical.load import stage_names
from steelyard.web import readings
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.sections.weigh import stage_weighed
from steelyard.web.session import Seen
from steelyard.weighing.advise import Advice, next_readings
from steelyard.weighing.options import GEAR
from steelyard.words.weighed import advice_line

SHOWN: Final = 6
NAMES: Final = {
    "hitch-scale": "hitch that weighs",
    "platform": "platform scale",
    "wheel": "wheel scales",
    "tongue-scale": "tongue scale",
    "lever": "bathroom scale and plank",
    "tape": "tape measure",
    "tank-gauge": "tank gauges",
}


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The best few, for what is at hand."""
    work = seen.work
    gear = look.choice.get("weigh-gear", "")
    stage = stage_weighed(look, work, stage_names(work.rig))
    asked = (gear,) if gear in GEAR else GEAR
    found = next_readings(work.rig, work.found.estimate, asked, stage)
    return {
        "gears": NAMES,
        "gear": gear,
        "line": advice_line(found[0]) if found else None,
        "rows": [_row(one) for one in found[:SHOWN]],
    }


def _row(one: Advice) -> dict[str, Any]:
    first = one.passes[0]
    arrangement = readings.arrangement_of(first)
    return {
        "what": one.what,
        "share": f"± {196 * one.share_sd_then:z.2f}",
        "wrong": percent(one.wrong_then),
        "go": f"{arrangement}/{readings.what_of(first['readings'][0])}",
    }


SECTION: Final = Section(
    "weigh_next",
    "What to weigh next",
    "which reading would sharpen the answer most",
    facts,
    slow=True,
)
