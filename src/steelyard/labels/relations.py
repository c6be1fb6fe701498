"""What numbers of one label must be to each other: a veto where they are not, never a check."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from steelyard.quantity import parse

Status = Literal["checked", "single", "refused"]
AXLES: Final = ("front", "rear", "trailer")
_BELOW: Final = (
    ("vehicle.front.gawr", "vehicle.gvwr"),
    ("vehicle.rear.gawr", "vehicle.gvwr"),
    ("vehicle.payload", "vehicle.gvwr"),
    ("trailer.gtm", "trailer.gvwr"),
    ("trailer.empty.weight", "trailer.gvwr"),
    ("cargo", "trailer.gvwr"),
    ("hitch.coupler.rating_tongue", "hitch.coupler.rating_trailer"),
    ("hitch.receiver.rating_tongue", "hitch.receiver.rating_trailer"),
    ("hitch.receiver.distributing_tongue", "hitch.receiver.distributing_trailer"),
    ("hitch.receiver.rating_tongue", "hitch.receiver.distributing_tongue"),
    ("hitch.receiver.rating_trailer", "hitch.receiver.distributing_trailer"),
)
"""A number, and another that it is never above."""
SUM: Final = (0.95, 1.6)
"""Front and rear GAWR together over the GVWR, between (from memory: as plates of light vehicles
are; the lower end by definition, less rounding)."""

UNLIKE: Final = 4
"""Front and rear axle of a vehicle that tows differ by less than so many times (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A number that a label says: the key it states, its text as a rig file has it (None where it
    cannot be had), the line it stands in, and why it is no more than it is."""

    at: str
    text: str | None
    words: str
    status: Status
    why: str


def vetoed(found: Sequence[Proposal]) -> list[Proposal]:
    """The proposals, those refused that cannot stand beside another."""
    kg = {
        one.at: parse(one.text, "mass").value
        for one in found
        if (one.text is not None and one.text.endswith((" lb", " kg")))
    }
    against = dict(_broken(kg))
    return [
        replace(one, text=None, status="refused", why=f"it cannot be beside {against[one.at]}")
        if one.at in against
        else one
        for one in found
    ]


def _broken(kg: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    """Each number of a broken relation, and what it cannot stand beside."""
    for low, high in _BELOW:
        if low in kg and high in kg and kg[low] > kg[high]:
            yield low, _called(high)
            yield high, _called(low)
    whole, front, rear = (kg.get(f"vehicle.{key}") for key in ("gvwr", "front.gawr", "rear.gawr"))
    if whole and front and rear and not SUM[0] <= (front + rear) / whole <= SUM[1]:
        for key in ("gvwr", "front.gawr", "rear.gawr"):
            yield f"vehicle.{key}", "the other ratings"


def _called(at: str) -> str:
    return f"the {at.split('.', 1)[-1].replace('.', ' ').replace('_', ' ')}"


def summed(found: Sequence[Proposal]) -> list[Proposal]:
    """A ticket's axles, checked where they come to its gross weight, refused where they do not."""
    by = {one.at: one for one in found}
    gross = by.get("gross")
    axles = [by[key] for key in AXLES if key in by]
    texts = [one.text for one in (*axles, *([gross] if gross else []))]
    if gross is None or len(axles) < 2 or None in texts:
        return [one for one in found if one.at != "gross"]
    sizes = [str(text).split(" ") for text in texts]
    front, rear = (int(size) for size, _ in sizes[:2])
    if max(front, rear) > UNLIKE * min(front, rear):
        why = "one axle weighs many times the other"
        return [replace(one, text=None, status="refused", why=why) for one in axles]
    one_unit = len({unit for _, unit in sizes}) == 1
    fits = one_unit and sum(int(size) for size, _ in sizes[:-1]) == int(sizes[-1][0])
    if fits:
        return [replace(one, status="checked", why=f"they come to {gross.text}") for one in axles]
    why = f"the axles do not come to {gross.text}"
    return [replace(one, text=None, status="refused", why=why) for one in axles]
