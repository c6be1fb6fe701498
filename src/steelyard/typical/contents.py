"""What a stated weight holds: as its own list says, else by the words on its plate."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Final

import numpy as np

from steelyard.quantity import F, Floats, Value, parse
from steelyard.rig import Trailer
from steelyard.typical.sheet import Builder
from steelyard.typical.shipped_tables import default_sd, density, read_table

WATER = ("fresh", "water")
_CALLED: Final = {
    "propane": r"(lpg?|(lp )?gas|propane|butane)( (bottles?|cylinders?|tanks?))?",
    "battery": r"((house|leisure|service) )?batter(y|ies)",
}


def known_as(name: str) -> str:
    """`propane` or `battery` where a piece of equipment is called like one, else its name."""
    spaced = re.sub(r"[-_]", " ", name.lower())
    return next((what for what, by in _CALLED.items() if re.fullmatch(by, spaced)), name)


def word_for(value: Value[Floats]) -> str:
    """Which default spread a stated weight gets, by whose word it stands on."""
    kind = _kind(value)
    return "brochure" if kind is None else str(read_table("mass-words.toml")[kind]["spread"])


def held_by(stated: Value[Floats] | None) -> frozenset[str]:
    """What a stated weight of the empty trailer holds."""
    if stated is None:
        return frozenset()
    if stated.includes is not None:
        return frozenset(stated.includes)
    return frozenset(_means(stated).get("trailer", ()))


def aboard(stated: Value[Floats]) -> frozenset[str] | None:
    """What a stated weight of the vehicle holds; None where it is as a vehicle's own weight is
    held here: full fuel and nobody."""
    if stated.includes is not None:
        return frozenset(stated.includes)
    words = _means(stated).get("vehicle")
    return None if words is None else frozenset(words)


def fuel_aboard(stated: Value[Floats], capacity: Any, content: str) -> Any:
    """kg of fuel in a weight that holds fuel, of a full tank of `capacity` kg (any shape)."""
    said = _means(stated).get("fuel")
    if said is None:
        return capacity
    if said.endswith("%"):
        return parse(said, "share").value * capacity
    return np.minimum(parse(said, "volume").value * density(content), capacity)


def driver_aboard(stated: Value[Floats]) -> float | None:
    """kg of the driver whom a plate's own definition counts, else None."""
    said = _means(stated).get("driver")
    return None if said is None else parse(said, "mass").value


def fluids_missing(stated: Value[Floats]) -> float:
    """kg of oil, coolant and the like that a vehicle's weight leaves out."""
    return parse(_means(stated).get("fluids", "0 kg"), "mass").value


def listed_apart(trailer: Trailer[F], stated: Value[F]) -> Iterator[tuple[str, F]]:
    """What the weight holds and the file lists too: the parameter of its weight, and kg in it.

    A tank of gas is held full. Of water no more is held than the plate's definition says.
    """
    held = held_by(stated)
    for name, part in trailer.equipment.items():
        if {name, known_as(name)} & held:
            yield f"trailer.equipment.{name}", part.weight.value
    for name, tank in trailer.tanks.items():
        if tank.content == "propane" and "propane" in held:
            yield f"trailer.tanks.{name}", density("propane") * tank.capacity.value
    said = _means(stated).get("water")
    if said and "water" in held and any(t.content in WATER for t in trailer.tanks.values()):
        yield "water", parse(said, "mass").value


def without_listed(build: Builder[F], trailer: Trailer[F], stated: Value[F]) -> Value[F]:
    """An empty trailer's stated weight less what the file lists apart, so that it counts once."""
    found = dict(listed_apart(trailer, stated))
    if not found:
        return stated
    what = ", ".join(sorted(held_by(stated)))
    for name in found:
        build.remarks.append(f"{name}: in the empty weight, which holds {what}; counted once")
    known = stated.sd
    if known is None:
        known = default_sd(word_for(stated), stated.value, "mass")
    said = _means(stated).get("water")
    spread = parse(said, "mass").sd if said and "water" in found else None
    sd = known if spread is None else np.hypot(known, spread)
    return replace(stated, value=stated.value - sum(found.values()), sd=sd)


def _kind(stated: Value[Floats]) -> str | None:
    """On whose word a weight stands: its kind, or a scale's where it was weighed."""
    return "scale" if stated.basis == "weighed" else stated.kind


def _means(stated: Value[Floats]) -> dict[str, Any]:
    found: dict[str, Any] = read_table("mass-words.toml").get(_kind(stated) or "", {})
    return found
