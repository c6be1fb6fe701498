"""What nobody stated, the biggest effect first, each with a place to state it."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.assessment import Assumption
from steelyard.quantity import System
from steelyard.web import form
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.sections.rig import filled
from steelyard.web.session import Seen
from steelyard.words.assessed import natural
from steelyard.words.unstated import helped_at, instead, plainly, stated_at, without_keys

LEAST: Final = 0.0005
"""Half-width of the tongue share, below which an effect is called none: a twentieth of a point."""


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The assumed values in two lists: those that move the tongue share, and the rest."""
    work = seen.work
    known = {one.at: one for one in form.fields(work.state.data)}
    system = look.system(work)
    rows = []
    for one in work.found.assumed:
        at = stated_at(one.name, work.rig)
        field = known.get(at) or form.field_at(work.state.data, at)
        helps = known.get(helped_at(one.name))
        rows.append(_row(one, field, system, helps))
    return {
        "moving": [row for row in rows if row["effect"]],
        "resting": [row for row in rows if not row["effect"]],
        "remarks": tuple(map(without_keys, work.found.remarks)),
    }


def _row(
    one: Assumption, field: form.Field | None, system: System, helps: form.Field | None
) -> dict[str, Any]:
    shown = natural(one.value, one.sd, one.dimension, system)
    return {
        "name": one.name,
        "title": plainly(one.name),
        "value": shown,
        "source": one.source.removeprefix("assumed: ").removeprefix("assumed"),
        "effect": f"± {100 * one.effect:z.1f}" if one.effect >= LEAST else "",
        "field": filled(field, system, basis="measured") if field else None,
        "instead": instead(one.name),
        "helps": filled(helps, system) if helps else None,
    }


SECTION: Final = Section(
    "assumed", "Assumed", "what nobody stated, the biggest effect first; state it here", facts
)
