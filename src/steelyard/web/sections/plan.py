"""A plan for the load: what to carry where, in which order, before and after."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.assessment import StageResult
from steelyard.drawing.names import item_name, place_name
from steelyard.drawing.paper import minus
from steelyard.quantity import System, to_border
from steelyard.stowing.move_order import Load, changes
from steelyard.stowing.question import middle_of_band
from steelyard.stowing.stow import Stowed, beforehand
from steelyard.web.acts.plan import KEPT
from steelyard.web.look import Look
from steelyard.web.sections.base import Section, all_of
from steelyard.web.session import Seen
from steelyard.web.state import State
from steelyard.words import stowed
from steelyard.words.assessed import MARKS, room, share_spread, weight


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The plan laid aside, if there is one, and whether it still fits the rig as it is."""
    work = seen.work
    system = look.system(work)
    laid: tuple[State, Stowed] | None = seen.laid.get(KEPT)
    base = {
        "items": {name: item.title or name for name, item in work.rig.items.items()},
        "plan": None,
        "target": f"{100 * middle_of_band(work.rig):g} %",
        "tie_down": stowed.TIE_DOWN,
    }
    if laid is None:
        return base
    state, found = laid
    return {**base, "plan": _told(found, system), "stale": not seen.state.believes(state)}


def _told(found: Stowed, system: System) -> dict[str, Any]:
    plan, order, first = found.found, found.order, beforehand(found)
    return {
        "verdict": stowed.plan_verdict(found),
        "hopeless": found.hopeless,
        "weigh": found.weigh,
        "beforehand": {"what": stowed.first_words(found), "does": _does(first, system)}
        if first
        else None,
        "moves": _moves(found, system) if order else [],
        "later": stowed.later_words(found),
        "way": stowed.on_the_way(order, system) if order and order.moves else "",
        "sway": stowed.sway_after(found, system) if order else "",
        "unit": "lb" if system == "us" else "kg",
        "first": found.before.stages[0].title,
        "stages": _stages(found, system),
        "goals": [stowed.goal_words(goal, found, system) for goal in plan.goals] if plan else [],
        "cure": stowed.cure_words(found, system),
        "first_things": [
            *stowed.fumes_words(found.rig),
            *(stowed.boarding_words(one, system) for one in found.boardings),
            *(stowed.slide_words(one, found.rig, system) for one in found.slides),
        ],
        "stop": stowed.stop_words(found, system),
        "warning": stowed.less_calm(found),
        "fits": plan is not None,
    }


def _moves(found: Stowed, system: System) -> list[dict[str, Any]]:
    return [
        {
            "item": item_name(found.rig, move.item),
            "from": place_name(found.rig, move.origin),
            "to": place_name(found.rig, move.to),
            "does": _does(load, system),
        }
        for move, load in (changes(found.order) if found.order else ())
    ]


def _does(load: Load, system: System) -> list[str]:
    parts = (load.ball, load.front, load.rear, load.trailer)
    return [minus(f"{to_border(part, 'mass', system):+z,.0f}") for part in parts]


def _stages(found: Stowed, system: System) -> list[dict[str, str]]:
    after = found.found.assessment.stages if found.found else ()
    return [
        {
            "title": new.title,
            "before": _ball(old, system),
            "after": _ball(new, system),
            "was": _nearest(old, system),
            "is": _nearest(new, system),
        }
        for old, new in zip(found.before.stages, after, strict=bool(after))
    ]


def _nearest(stage: StageResult, system: System) -> str:
    """`◐ tight: spring bars, 103 lb under its 1,000 lb rating`."""
    one = stage.deciding
    words = f": {one.title}, {room(one, system)}" if one else ""
    return f"{MARKS[stage.verdict]}{words}"


def _ball(stage: StageResult, system: System) -> str:
    return f"{weight(stage.tongue.weight_kg.value, system)}, {share_spread(stage.tongue.share)}"


SECTION: Final = Section(
    "plan", "Find places", "where everything should ride, for the whole trip", facts, own=all_of
)
