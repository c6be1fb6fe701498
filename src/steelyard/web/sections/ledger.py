"""What makes up the tongue weight: each thing's weight by where it stands, adding up."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.drawing.names import item_name
from steelyard.drawing.paper import minus
from steelyard.quantity import System, to_border, unit_of
from steelyard.rig import Rig
from steelyard.statics.ledger import Entry
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen
from steelyard.words.assessed import number, weight, weight_spread

SLIGHT: Final = 0.05
"""N on the ball under which a thing in the vehicle has no row."""


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """Every row of the ledger at the stage in view, what presses most first."""
    work = seen.work
    system = look.system(work)
    stage = next(one for one in work.found.stages if one.key == look.at(work))
    ledger = stage.ledger
    rows = [
        _row(work.rig, one, system)
        for one in sorted(ledger.entries, key=lambda one: -one.tongue_kg)
        if abs(one.tongue_kg) >= SLIGHT or (one.body == "trailer" and one.kg > 0)
    ]
    return {
        "stage": stage.title,
        "rows": rows,
        "unit": unit_of("mass", system),
        "length": unit_of("length", system),
        "total": number(ledger.total_kg, system),
        "ball": weight_spread(stage.tongue.weight_kg, system),
        "carried": weight(stage.driven.total_kg, system) if stage.tongue.restoration else None,
    }


def _row(rig: Rig, one: Entry, system: System) -> dict[str, str]:
    weighs = one.kg == one.kg
    return {
        "name": item_name(rig, one.name) if one.name in rig.items else one.name,
        "kg": f"{to_border(one.kg, 'mass', system):z,.0f}" if weighs else "",
        "at": f"{to_border(one.station, 'length', system):z,.0f}" if one.body == "trailer" else "",
        "force": minus(f"{to_border(one.tongue_kg, 'mass', system):+z,.0f}"),
        "way": "lifts" if one.tongue_kg < 0 else "presses",
    }


SECTION: Final = Section(
    "ledger",
    "What makes it up",
    "each thing's weight by where it stands, adding up to the tongue weight",
    facts,
)
