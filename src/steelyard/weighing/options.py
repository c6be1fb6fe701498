"""Every reading a person could take of a rig, with the gear it takes."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from steelyard.rig import Rig, is_pin
from steelyard.typical.trailer import axle_count

GEAR: Final = (
    "hitch-scale",
    "platform",
    "wheel",
    "tongue-scale",
    "lever",
    "tape",
    "tank-gauge",
)
"""What a person may have at hand."""
UNREAD: Final = "1000 kg"
"""Stands where the reading will be; its size plays no part."""
LEVER_MOST: Final = 4000.0
"""kg of trailer above which a bathroom scale under a plank of four to one would be overloaded."""
ALONE: Final = {"arrangement": "vehicle-alone"}
APART: Final = {"arrangement": "trailer-alone"}
OFF: Final = {"bars": "off"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One thing to read: what, with which gear, as passes of a ticket."""

    what: str
    gear: str
    passes: tuple[dict[str, Any], ...]


def options(rig: Rig) -> Iterator[Option]:
    """All of them, kind by kind."""
    states: list[tuple[str, dict[str, str]]] = [("coupled", OFF)]
    if rig.hitch.bars is not None:
        states = [("bars off", OFF), ("bars on", {"bars": "on"})]
    for words, state in states:
        reading = {"kind": "hitch-scale", "cell": "shank", "weight": UNREAD}
        yield _one(f"hitch scale, {words}", "hitch-scale", state, reading)
    yield from _platforms(states)
    if not is_pin(rig):  # nobody should stand a pin's weight on a bathroom scale
        yield from _under_the_tongue(rig)
    yield from _wheels(rig)
    yield from _tape()
    for tank in rig.trailer.tanks:
        reading = {"kind": "tank-gauge", "tank": tank, "level": "50 %"}
        yield _one(f"{tank} tank gauge", "tank-gauge", OFF, reading)


def _platforms(states: list[tuple[str, dict[str, str]]]) -> Iterator[Option]:
    pads = {
        "front": "the front axle",
        "rear": "the rear axle",
        "trailer": "the trailer's axles",
        "all": "the whole rig",
    }
    for words, state in states:
        for pad, name in pads.items():
            yield _one(f"platform under {name}, {words}", "platform", state, _pad(pad))
    for pad in ("front", "rear"):
        what = f"platform under {pads[pad]}, vehicle alone"
        yield _one(what, "platform", ALONE, _pad(pad))


def _pad(pad: str) -> dict[str, Any]:
    return {"kind": "platform", "axles": [pad], "weight": UNREAD}


def _under_the_tongue(rig: Rig) -> Iterator[Option]:
    scale = {"kind": "tongue-scale", "station": "0 m", "weight": UNREAD}
    yield _one("scale under the coupler, trailer alone", "tongue-scale", APART, scale)
    heavy = rig.trailer.gvwr or rig.trailer.empty.weight
    if heavy is not None and heavy.value > LEVER_MOST:
        return
    plank = {
        "kind": "lever",
        "station": "0 m",
        "support_to_tongue": "0.3 m",
        "tongue_to_scale": "0.9 m",
        "weight": UNREAD,
    }
    yield _one("bathroom scale and plank under the coupler", "lever", APART, plank)


def _wheels(rig: Rig) -> Iterator[Option]:
    for axle in ("front", "rear", *(f"trailer-{i + 1}" for i in range(axle_count(rig)))):
        sides = [
            {"kind": "wheel", "axle": axle, "side": side, "weight": UNREAD}
            for side in ("left", "right")
        ]
        name = axle.replace("-", " axle ") if axle[-1].isdigit() else f"the {axle} axle"
        what = f"wheel scales under both sides of {name}"
        yield _one(what, "wheel", OFF, *sides)


def _tape() -> Iterator[Option]:
    for end in ("front", "rear"):
        reading = {"kind": "fender-height", "at": end, "height": "0.9 m"}
        yield Option(
            what=f"{end} fender height, before and after coupling",
            gear="tape",
            passes=({**ALONE, "readings": [reading]}, {**OFF, "readings": [reading]}),
        )


def _one(what: str, gear: str, state: dict[str, str], *readings: dict[str, Any]) -> Option:
    return Option(what=what, gear=gear, passes=({**state, "readings": list(readings)},))
