"""What is matched: vehicles with what they carry, trailers with their end of the coupling."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from steelyard.columns.alike import Many
from steelyard.rig import Hitch, Item, Person, Place, Rig, Trailer, Vehicle
from steelyard.rig.checks import PINS
from steelyard.rig.kinds import NO_BED
from steelyard.typical.ride import usual_gear, usual_people

TRAILER_PARTS: Final = ("coupler", "chains", "jack")
"""Parts of the coupling that stay with the trailer; all others stay with the vehicle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tow:
    """A vehicle with its part of the hitch and who and what rides in it."""

    name: str
    vehicle: Vehicle
    hitch: Hitch
    people: Mapping[str, Person]
    places: Mapping[str, Place]
    items: Mapping[str, Item]
    region: str | None
    country: str | None
    speed: float | None
    usual: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Towed:
    """A trailer with its part of the hitch; `cargo` is the part of the usual cargo that it carries.

    What a file loads it with is left out: see `pairing`.
    """

    name: str
    trailer: Trailer
    hitch: Hitch
    cargo: float = 1.0
    region: str | None = None
    country: str | None = None

    @property
    def pin(self) -> bool:
        """Whether it needs a hitch in the bed."""
        kind = self.hitch.kind
        return kind in PINS or (kind is None and self.trailer.style in PINS)


def tow_of(rig: Rig, name: str | None = None, speed: float | None = None) -> Tow:
    """The vehicle of a rig with the people and cargo it lists, or the usual ones for none. speed:
    m/s asked about, in place of its own."""
    places = {key: place for key, place in rig.places.items() if place.on == "vehicle"}
    items = {key: item for key, item in rig.items.items() if item.place in places}
    usual = [word for word, there in (("people", rig.people), ("gear", items)) if not there]
    if not items:
        usual_places, usual_items = usual_gear(rig.vehicle.klass)
        places, items = dict(usual_places), dict(usual_items)
    away = dict.fromkeys(TRAILER_PARTS)
    return Tow(
        name=name or rig.vehicle.title or rig.name,
        vehicle=rig.vehicle,
        hitch=rig.hitch.model_copy(update=away),
        people=rig.people or usual_people(),
        places={key: place.model_copy(update={"capacity": None}) for key, place in places.items()},
        items=items,
        region=rig.region,
        country=rig.country,
        speed=rig.speed.value if speed is None and rig.speed else speed,
        usual=tuple(usual),
    )


def towed_of(rig: Rig, name: str | None = None) -> Towed:
    """The trailer of a rig, empty, with its own parts of the coupling."""
    own = {part: getattr(rig.hitch, part) for part in TRAILER_PARTS}
    kind = rig.hitch.kind if rig.hitch.kind in PINS or rig.hitch.kind == "pintle" else None
    return Towed(
        name=name or rig.trailer.title or rig.name,
        trailer=rig.trailer,
        hitch=_NO_HITCH.model_copy(update={"kind": kind, **own}),
        region=rig.region,
        country=rig.country,
    )


_NO_HITCH: Final = Hitch()


def name_of(some: Sequence[Tow] | Sequence[Towed], number: int) -> str:
    """The name of one of them, which may be known before it is made."""
    return some.names[number] if isinstance(some, Many) else some[number].name


def cannot(tow: Tow, towed: Towed) -> str | None:
    """Why the two can't be coupled at all, or None."""
    if towed.pin and tow.vehicle.klass in NO_BED:
        return "the trailer needs a hitch in a bed, which this vehicle does not have"
    return None


def suits(tow: Tow, towed: Towed) -> bool:
    """Whether the hitch described with the vehicle is of the kind that the trailer needs."""
    return (tow.hitch.kind in PINS) == towed.pin


TONGUE, EMPTY_WEIGHT = "trailer.empty.tongue_weight", "trailer.empty.weight"
BRAKES = "trailer.brakes"


def unstated(trailer: Trailer) -> tuple[str, ...]:
    """What a pair rests on beside ratings and this trailer does not state, by path.

    Its weight, what its tongue weighs (or its centre of gravity), and whether it has brakes, which
    decides between the two tow ratings. Taken as usual of the style, which is no knowledge.
    """
    empty = trailer.empty
    known = {
        EMPTY_WEIGHT: empty.weight is not None,
        TONGUE: empty.tongue_weight is not None or empty.cg is not None,
        BRAKES: trailer.brakes is not None,
    }
    return tuple(path for path, said in known.items() if not said)
