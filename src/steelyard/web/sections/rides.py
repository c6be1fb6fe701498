"""What rides, as the walk shows it: bays from front to rear, things to put in them, tanks."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from markupsafe import Markup

from steelyard.assessment import StageResult
from steelyard.drawing.names import place_name
from steelyard.drawing.walk import spots_picture
from steelyard.quantity import Level, System, percent, shown, to_border, unit_of
from steelyard.rig import Item, Place, Rig
from steelyard.typical.load import item_weights, stage_names, starter
from steelyard.walk.starting_rig import layout
from steelyard.web.work import Work

LEVELS: Final = {"full": "50 %", "50 %": "empty", "empty": "full"}
"""What a press makes of a tank's level."""
STARTER: Final = 8
"""Things offered at first; the others are behind a press."""


def rides(work: Work, system: System) -> Mapping[str, Any]:
    """Bays with what is in them, things at hand with what each does to the ball, tanks."""
    rig, stage = work.rig, work.found.worst_stage
    weights = {name: one.value for name, one in item_weights(rig).items()}
    effects = {name: _effects(rig, stage, weights[name], system) for name in rig.items}
    order = sorted(rig.places.items(), key=lambda one: (one[1].on, one[1].station.value))
    bays = [
        {
            "key": key,
            "title": place_name(rig, key),
            "on": place.on,
            "assumed": place.station.basis == "assumed",
            "things": [
                _thing(name, one, weights, system)
                for name, one in rig.items.items()
                if one.place == key
            ],
        }
        for key, place in order
    ]
    return {
        "bays": {on: [bay for bay in bays if bay["on"] == on] for on in ("vehicle", "trailer")},
        "hand": _at_hand(rig, stage, system),
        "effects": effects,
        "tanks": [_tank(rig, name, system) for name in rig.trailer.tanks],
        "unit": unit_of("mass", system),
        "first": STARTER,
        "where": Markup(spots_picture(work.found)),
    }


def _thing(name: str, item: Item, weights: Mapping[str, Any], system: System) -> Mapping[str, str]:
    weight = to_border(float(weights[name]), "mass", system)
    return {"key": name, "title": item.title or _spoken(name), "weight": f"{weight:,.0f}"}


def _at_hand(rig: Rig, stage: StageResult, system: System) -> Sequence[Mapping[str, Any]]:
    """Things of the style's starter list that do not ride yet."""
    kind = layout(rig.trailer.style)["things"]
    rows = []
    for name, row in starter(kind).items():
        if name in rig.items:
            continue
        kg = Item.model_validate({"weight": row["weight"], "place": "x"}).weight.value
        rows.append(
            {
                "key": name,
                "title": _spoken(name),
                "about": row["title"],
                "weight": f"{to_border(kg, 'mass', system):,.0f}",
                "effects": _effects(rig, stage, kg, system),
            }
        )
    return rows


def _effects(rig: Rig, stage: StageResult, kg: float, system: System) -> Mapping[str, str]:
    """What a weight does to the ball in each place, `+55`, `−10` or `0`."""
    return {key: _signed(stage, place, kg, system) for key, place in rig.places.items()}


def _signed(stage: StageResult, place: Place, kg: float, system: System) -> str:
    lever = stage.levers.at(place.on, place.station.value).tongue
    weight = to_border(lever * kg, "mass", system)
    size = f"{abs(weight):.0f}"
    return size if size == "0" else f"{'+' if weight > 0 else '−'}{size}"


def _tank(rig: Rig, name: str, system: System) -> Mapping[str, Any]:
    """A tank, how full it is said to be, and what a press makes of it."""
    key, tank = stage_names(rig)[0], rig.trailer.tanks[name]
    stage = rig.stages.get(key)
    level = stage.tanks.get(name) if stage else None
    share = level.share.value if level and level.share else None
    text = {1.0: "full", 0.5: "50 %", 0.0: "empty"}.get(share, "") if share is not None else ""
    return {
        "name": name,
        "said": text or _held(level, system),
        "share": share,
        "at": f"stages.{key}.tanks.{name}",
        "to": LEVELS.get(text, "full"),
        "holds": shown(tank.capacity.value, "volume", system),
    }


def _held(level: Level | None, system: System) -> str:
    """What a tank was said to hold, where it is none of the usual levels."""
    if level is None:
        return ""
    if level.volume is not None:
        return shown(level.volume.value, "volume", system)
    return percent(level.share.value, 0) if level.share else ""


def _spoken(name: str) -> str:
    return name.replace("-", " ").replace("_", " ")
