"""One vehicle and one trailer as a rig: empty, as usually loaded, and at the trailer's rating."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Final

from steelyard.matching.candidates import TRAILER_PARTS, Tow, Towed, suits
from steelyard.quantity import Level
from steelyard.rig import Hitch, Item, Place, Rig, Stage, Trailer, Vehicle
from steelyard.rig.rig import REGIONS
from steelyard.typical.ride import in_si

CARGO: Final = "cargo in the trailer"
REST: Final = "cargo up to the rating"
BOX: Final = "along the box"
EMPTY: Final = "empty"
TYPICAL: Final = "usual-load"
FULL: Final = "full-rating"
TITLES: Final = {EMPTY: "empty", TYPICAL: "usual load", FULL: "full rating"}
REFERENCE: Final = Vehicle.model_validate({"class": "half-ton-crew-cab"})
"""Stands for the vehicle where a trailer is read alone; nothing of it is kept."""


def paired(tow: Tow, towed: Towed) -> Rig:
    """The rig of a pair. Weight and place of its cargo stand in the belief, not in the file.

    Cargo in the trailer is a share of what its rating leaves, its centre a share of its box: see
    `beliefs`, which is why `assess` wants the estimate of `beliefs.of_pair` with it. Region and
    country are the vehicle's, else the trailer's.
    """
    trailer, hitch = towed.trailer, coupling(tow, towed)
    region = tow.region or towed.region
    countries = (one for one in (tow.country, towed.country) if one and REGIONS[one] == region)
    places, items = dict(tow.places), dict(tow.items)
    places[BOX] = _PLACE
    items[CARGO] = _CARGO
    if trailer.gvwr is not None:
        items[REST] = _CARGO
    return _BARE.model_copy(
        update={
            "name": f"{tow.name} + {towed.name}",
            "region": region,
            "country": next(countries, None),
            "speed": None if tow.speed is None else in_si(tow.speed, 0.0, "m/s"),
            "vehicle": seen_from(tow, towed),
            "hitch": hitch,
            "trailer": trailer,
            "places": places,
            "items": items,
            "people": tow.people,
            "stages": stages(tow, trailer),
        }
    )


def stages(tow: Tow, trailer: Trailer) -> dict[str, Stage]:
    """Empty with a driver alone; as usually loaded; and, where a rating is stated, up to it."""
    first = tuple(name for name, person in tow.people.items() if person.seat == "driver")
    driver = first or tuple(tow.people)[:1]
    return dict(_stages(driver, tuple(tow.items), tuple(trailer.tanks), trailer.gvwr is not None))


@lru_cache(maxsize=1024)
def _stages(
    driver: tuple[str, ...],
    carried: tuple[str, ...],
    tanks: tuple[str, ...],
    rated: bool,  # noqa: FBT001  (a key)
) -> Mapping[str, Stage]:
    """The same for all that list the same."""
    empty = dict.fromkeys(tanks, _NOTHING)
    found = {
        EMPTY: _stage(title=TITLES[EMPTY], tanks=empty, people=driver, items=()),
        TYPICAL: _stage(title=TITLES[TYPICAL], items=(*carried, CARGO)),
    }
    if rated:
        found[FULL] = _stage(title=TITLES[FULL], items=(*carried, REST))
    return found


def coupling(tow: Tow, towed: Towed) -> Hitch:
    """Both halves of the coupling; the vehicle's is unknown where it is of another kind."""
    own = {part: getattr(towed.hitch, part) for part in TRAILER_PARTS}
    kind = towed.hitch.kind
    if not suits(tow, towed):
        return _NO_HITCH.model_copy(update={**own, "kind": kind})
    bars = tow.hitch.bars
    if towed.pin:
        bars = None
    elif bars is not None:
        bars = bars.model_copy(update={"set_at": TYPICAL})
    return tow.hitch.model_copy(update={**own, "kind": kind or tow.hitch.kind, "bars": bars})


def seen_from(tow: Tow, towed: Towed) -> Vehicle:
    """The vehicle; where its hitch is of another kind, the place of that hitch is unknown too."""
    return tow.vehicle if suits(tow, towed) else tow.vehicle.model_copy(update={"overhang": None})


def alone(towed: Towed, region: str | None) -> Rig:
    """The trailer behind nothing in particular, in a region, else in its own: what its own
    parameters are read from."""
    return _BARE.model_copy(
        update={
            "name": towed.name,
            "region": region or towed.region,
            "hitch": towed.hitch,
            "trailer": towed.trailer,
            "stages": stages(_NOBODY, towed.trailer),
        }
    )


def _stage(**said: object) -> Stage:
    return _MOMENT.model_copy(update=said)


_MOMENT: Final = Stage()
_NO_HITCH: Final = Hitch()
_NOTHING: Final = Level(share=in_si(0.0, 0.0, "of 1"), volume=None)
_PLACE: Final = Place(on="trailer", station=in_si(4.0, 0.0, "m"))
_CARGO: Final = Item(weight=in_si(1.0, 0.0, "kg"), place=BOX, station=in_si(4.0, 0.0, "m"))
_BARE: Final = Rig(
    everything_listed=True,
    vehicle=REFERENCE,
    trailer=Trailer.model_validate({"style": "rear-living", "gvwr": "3000 kg"}),
)
_NOBODY: Final = Tow(
    name="",
    vehicle=REFERENCE,
    hitch=Hitch(),
    people={},
    places={},
    items={},
    region=None,
    country=None,
    speed=None,
    usual=(),
)
