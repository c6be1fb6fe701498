"""A plan laid over a rig: items in new places, and what is then believed of where they stand."""

from collections.abc import Iterable, Mapping

from steelyard.estimate import Estimate
from steelyard.rig import Item, Rig, Stage
from steelyard.scene import restated

Plan = Mapping[str, str]
"""Item to place; an item that is not in it stays home."""


def now(rig: Rig) -> dict[str, str]:
    """How everything is packed now."""
    return {name: item.place for name, item in rig.items.items()}


def arranged(rig: Rig, plan: Plan) -> Rig:
    """The rig packed by a plan. What moves loses the spot it had within its old place; with another
    load nothing was felt."""
    items = {name: _placed(item, plan[name]) for name, item in rig.items.items() if name in plan}
    gone = rig.items.keys() - items.keys()
    stages = {key: _without(stage, gone) for key, stage in rig.stages.items()} if gone else None
    changed = {"items": items, **({"stages": stages} if stages else {})}
    return rig.model_copy(update=changed if plan == now(rig) else {**changed, "felt": {}})


def _placed(item: Item, place: str) -> Item:
    if item.place == place:
        return item
    return item.model_copy(update={"place": place, "station": None, "offset": None, "height": None})


def _without(stage: Stage, gone: Iterable[str]) -> Stage:
    lists = {
        key: tuple(name for name in getattr(stage, key) if name not in gone)
        for key in ("items", "without", "bought", "used_up")
        if getattr(stage, key)
    }
    return stage.model_copy(update=lists) if lists else stage


def believed(estimate: Estimate, before: Rig, after: Rig) -> Estimate:
    """The belief about a rig once things have been moved: only their own stations are new.

    Every other parameter keeps its place in the vectors, so the same draws serve both plans and
    what differs between them is the plan.
    """
    moved = [
        name
        for name, item in after.items.items()
        if (old := before.items.get(name)) is not None and old.place != item.place
    ]
    return restated(estimate, after, [f"items.{name}.station" for name in moved])


def moved_items(before: Plan, after: Plan) -> tuple[str, ...]:
    """What a plan moves, in the order of the rig."""
    return tuple(name for name, place in before.items() if after.get(name, place) != place)
