"""How fast law and tyres let a rig go, whatever its sway: each speed with its reason."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from steelyard.ratings.rulebook import load_rulebook
from steelyard.ratings.tyre_capacity import highest_speed, top_speed
from steelyard.rig import Rig, Tyres
from steelyard.scene import region_of
from steelyard.typical.trailer import ORDINALS

PLACES: Final = {"uk-speed": "GB", "wa-speed": "AU", "nz-speed": "NZ"}
"""Speed limits of towing that a rulebook holds, by the country whose roads they are for."""

SPECIAL: Final = "Tire and Rim Association rule for special trailer tyres without a speed letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastest:
    """A speed, m/s, that is not to be passed, why, and where that stands."""

    speed: float
    reason: str
    source: str


def fastest(rig: Rig) -> tuple[Fastest, ...]:
    """The slowest tyre's speed, then the law's of the rig's country or, that unsaid, its region."""
    return (*sorted(_tyres(rig), key=lambda one: one.speed)[:1], *_laws(rig))


def _tyres(rig: Rig) -> Iterator[Fastest]:
    for title, tyres, trailer in _axles(rig):
        speed = highest_speed(tyres, trailer=trailer)
        if speed is not None:
            why, source = _why(tyres)
            yield Fastest(speed=speed, reason=f"the {title} tyres {why}", source=source)


def _why(tyres: Tyres) -> tuple[str, str]:
    """Why tyres go no faster, and the source."""
    if top_speed(tyres) is not None:
        return "say so on their sidewall", "speed letter"
    if tyres.kind == "st":
        return "are special trailer tyres without a speed letter", SPECIAL
    return "have no kind or speed letter stated", SPECIAL


def _axles(rig: Rig) -> Iterator[tuple[str, Tyres, bool]]:
    yield "front", rig.vehicle.front.tyres, False
    yield "rear", rig.vehicle.rear.tyres, False
    group = rig.trailer.axles
    yield "trailer", group.tyres, True
    for name in ORDINALS:
        one = getattr(group, name)
        if one is not None and one.tyres is not None:
            yield f"{name} trailer axle", one.tyres, True


def _laws(rig: Rig) -> Iterator[Fastest]:
    for rule in load_rulebook(region_of(rig)).rules:
        country = PLACES.get(rule.id)
        if country is not None and rule.is_read and rig.country in (None, country):
            yield Fastest(speed=rule.value["speed"], reason=rule.title, source=rule.source)
