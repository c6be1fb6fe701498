"""Values that nobody believes unasked, and the limits that each leaves unknown until it is sure."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from functools import cache
from typing import Any, Final

from steelyard.fault import Fault, article, dotted, quoted
from steelyard.quantity import Dimension, Floats, QuantityError, System, Value, holds, parse, parted
from steelyard.ratings.check import ASKED, Check
from steelyard.ratings.extent import Misplaced, misplaced
from steelyard.rig import Rig, is_pin
from steelyard.rig.kinds import FREIGHT
from steelyard.scene import region_of
from steelyard.typical.plausible import banded, built_otherwise, implausible, usual
from steelyard.typical.trailer import ORDINALS, axle_count

MOST_PARTED: Final = 20.0
"""kg: a thousand times more is no weight that rides with a light vehicle, so nobody means it."""
_APART: Final = re.compile(r"^hitch\.fit\.|\.tyres\.(pressure|speed|fit)$")
"""Names of limits on sizes, pressures and speeds, which no weight bears on."""
LEVERS: Final = "levers"
"""Touched: whatever depends on where weight stands."""
_WHOLE: Final = re.compile(
    r"^trailer\.gvwr$|^vehicle\.(gcwr|tow_rating|max_)|^hitch\..*\.trailer$|chains$|ratio$|^places\."
)
"""Names of limits on weights that are the same wherever they stand."""
_SLIPS: Final = (
    *(("kg", "lb"), ("lb", "kg"), ("ft", "in"), ("in", "ft"), ("bar", "psi")),
    *(("mm", "m"), ("mm", "cm"), ("cm", "m"), ("m", "mm"), ("m", "cm")),
)
"""Units written for one another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked about a value, and patterns of the names of the limits that rest on it, or
    `LEVERS`; where it does not go with `others`, their paths; of a station, where it may be."""

    fault: Fault
    touches: tuple[str, ...]
    others: tuple[str, ...] = ()
    place: Misplaced | None = None

    @property
    def at(self) -> str:
        """The value's dotted path."""
        return dotted(self.fault.path)

    def held(self, name: str) -> bool:
        """Whether a limit rests on the value; what touches all touches none of `_APART`."""
        if any(fnmatchcase(name, one) for one in self.touches if one != "*"):
            return True
        levers = LEVERS in self.touches and not _WHOLE.search(name)
        return ("*" in self.touches or levers) and not _APART.search(name)


def questions(rig: Rig[Floats]) -> tuple[Question, ...]:
    """What has to be asked about a rig's stated values, each value once; none that is `sure`."""
    found: dict[str, Question] = {}
    stated: Stated = {}
    _gather(rig, _tree(), stated)
    for each in (_unusual(rig, stated), _parted(rig), _compared(rig, stated), _misplaced(rig)):
        for one in each:
            found.setdefault(one.at, one)
    return tuple(found.values())


def asked_of_all(rig: Rig[Floats]) -> tuple[Question, ...]:
    """What is asked about rigs alike but for their numbers, without what was found of the first."""
    return tuple(
        replace(one, fault=replace(one.fault, due="", found="", hint="")) for one in questions(rig)
    )


def doubted(name: str, asked: Sequence[Question]) -> str | None:
    """The dotted path of a value asked about that a limit, or `road.*` for how the rig runs on the
    road, rests on."""
    return next((one.at for one in asked if one.held(name)), None)


def unknown_where_asked(checks: list[Check], asked: Sequence[Question]) -> list[Check]:
    """The checks, those that rest on a value asked about without a rating."""
    return [_without_rating(check, asked) for check in checks] if asked else checks


def _without_rating(check: Check, asked: Sequence[Question]) -> Check:
    one = next((one for one in asked if one.held(check.name)), None)
    if one is None:
        return check
    found = f" ({one.fault.found})" if one.fault.found else ""
    return replace(check, high=None, low=None, due=f"{one.at}{found}{ASKED}")


Stated = dict[str, Value[Floats]]
"""Values that a band is known of, or that are compared, by dotted path."""


@cache
def _tree() -> dict[str, Any]:
    """The keys on the way to every value of which a band is known; at the end its path."""
    tree: dict[str, Any] = {}
    for path in banded():
        *above, last = path.split(".")
        table = tree
        for key in above:
            table = table.setdefault(key, {})
        table[last] = path
    return tree


def _gather(fact: Any, tree: dict[str, Any], found: Stated) -> None:
    """What is stated of a tree's keys, into `found`."""
    for key, below in tree.items():
        one = getattr(fact, key)
        if one is not None and isinstance(below, str):
            found[below] = one
        elif one is not None:
            _gather(one, below, found)


def _unusual(rig: Rig[Floats], stated: Stated) -> Iterator[Question]:
    """Values outside what is usual of their class or style."""
    first: System = "us" if region_of(rig) == "north-america" else "metric"
    for path, value in stated.items():
        kind = kind_at(path, rig)
        fault = None if value.sure else implausible(path, value.value, kind, first, value.text)
        band = usual(path, kind) if fault else None
        if fault is not None and band is not None:
            hint = _meant(value.text, band.dimension, band.low, band.high)
            yield Question(fault=replace(fault, hint=hint), touches=_rest_on(path, rig))


def kind_at(path: str, rig: Rig[Floats]) -> str | None:
    """The class, style, or size and part that says what is usual at a path."""
    table, part, *_ = path.split(".")
    if part in ("receiver", "ball_mount", "overhang", "ball_height", "coupler_height"):
        return BED if is_pin(rig) else BEHIND
    if table != "hitch":
        return {"vehicle": rig.vehicle.klass, "trailer": rig.trailer.style}.get(table)
    size = getattr(getattr(rig.hitch, part), "size", None) if path in _BY_SIZE else None
    if size is None or not isinstance(size.value, float):
        return None
    near = (one for one in SIZES if abs(parse(one, "length").value - size.value) <= NEAR)
    return next((f"{one} {part}" for one in near), None)


BED: Final = "hitch in a bed"
BEHIND: Final = "hitch behind"
SIZES: Final = ("1 7/8 in", "2 in", "2 5/16 in", "3 in")
NEAR: Final = 0.001
"""m: a ball of 50 mm is rated as one of 2 in."""
_BY_SIZE: Final = ("hitch.ball.rating_trailer", "hitch.coupler.rating_trailer")


def _meant(text: str, dimension: Dimension, low: float, high: float) -> str:
    """The same number with its thousands whole, or in another unit where that is usual."""
    if parted(text):
        return _whole(text)
    tries = [re.sub(rf"{one}\b", other, text) for one, other in _SLIPS if one in text]
    for one in tries:
        try:
            if low <= parse(one, dimension).value <= high:
                return f'did you mean "{one}"?'
        except QuantityError:
            continue
    return ""


def _whole(text: str) -> str:
    """What a number with a point between its thousands means."""
    return f'did you mean "{text.replace(".", "", 1)}", thousands in European style?'


def _parted(rig: Rig[Floats]) -> Iterator[Question]:
    """Weights that may be thousands of kilograms in European style: `"1.250 kg"`."""
    for path, value in _weights(rig):
        if value is None or value.sure or holds(value.value > MOST_PARTED):
            continue
        if parted(value.text):
            due, hint = "no point between thousands", _whole(value.text)
            fault = Fault(path=path, due=due, found=quoted(value.text), hint=hint, asks=True)
            yield Question(fault=fault, touches=("*",))


def _weights(rig: Rig[Floats]) -> Iterator[tuple[tuple[str, ...], Value[Floats] | None]]:
    """Weights of what rides, which may be anything, by path."""
    yield ("vehicle", "accessories"), rig.vehicle.accessories
    loads: dict[tuple[str, ...], Any] = {
        ("items",): rig.items,
        ("people",): rig.people,
        ("trailer", "equipment"): rig.trailer.equipment,
    }
    for path, held in loads.items():
        yield from (((*path, name, "weight"), one.weight) for name, one in held.items())


_MOST: Final = (
    ("vehicle.payload", "vehicle.gvwr"),
    ("vehicle.gvwr", "vehicle.gcwr"),
    ("vehicle.tow_rating", "vehicle.gcwr"),
    ("vehicle.tow_rating_unbraked", "vehicle.tow_rating"),
    ("trailer.empty.weight", "trailer.gvwr"),
)
"""Values, and others that they are below."""
_WEIGHED: Final = ("weighed", "scale")
LIGHT_AXLE: Final = 1000.0
"""kg: an axle rated for less often has tyres of a car or van, rated for far more (from memory)."""


def _compared(rig: Rig[Floats], stated: Stated) -> Iterator[Question]:
    """Values that do not go with one another; being sure of either answers it."""
    for path, other in _MOST:
        value = stated.get(path)
        if value is not None and not {value.basis, value.kind} & {*_WEIGHED}:
            lived_in = path == "trailer.empty.weight" and rig.trailer.style not in FREIGHT
            yield from _ratio(rig, stated, (path,), 1, other, (0.45 if lived_in else 0.0, 1.0))
    yield from _built(rig, stated)
    behind = not is_pin(rig)
    tongue, most = ("trailer.empty.tongue_weight",), 0.26
    if rig.trailer.style == "toy-hauler":
        most = 0.3  # an empty garage behind the axles
    least = 0.01 if rig.trailer.style in (*FREIGHT, "centre-axle-caravan") else 0.05
    share = (least, most) if behind else (0.1, 0.35)
    yield from _ratio(rig, stated, tongue, 1, "trailer.empty.weight", share)
    ends = front, rear = ("vehicle.front.weight", "vehicle.rear.weight")
    yield from _ratio(rig, stated, (rear,), 1, front, (0.4, 2.2))
    yield from _ratio(rig, stated, ends, 1, "vehicle.weight", (0.85, 1.15))
    yield from _ratio(rig, stated, ends, 1, "vehicle.gvwr", (0.4, 2.0))
    axles = ("vehicle.front.gawr", "vehicle.rear.gawr")
    yield from _ratio(rig, stated, axles, 1, "vehicle.gvwr", (0.8, 1.6))
    count = axle_count(rig) if "trailer.axles.gawr" in stated else 0
    gross = stated.get("trailer.gvwr")
    most = 3.0 if gross is not None and holds(gross.value <= LIGHT_AXLE) else 2.1
    yield from _ratio(rig, stated, ("trailer.axles.gawr",), count, "trailer.gvwr", (0.6, most))
    yield from _ratio(rig, stated, ("trailer.gtm",), 1, "trailer.gvwr", (0.6, 1.0))
    least = 0.05 if region_of(rig) == "north-america" else 0.02
    for path in (path for path in stated if path.endswith("_tongue")):
        share = (least, 0.21 if behind else 0.5)
        yield from _ratio(rig, stated, (path,), 1, f"{path[:-6]}trailer", share)
    for path in (path for path in stated if ".distributing_" in path):
        carrying = path.replace("distributing", "rating")
        yield from _ratio(rig, stated, (carrying,), 1, path, (0.0, 1.0))
    heads = ("vehicle.front", "vehicle.rear", "trailer.axles")
    for head in (*heads, *(f"trailer.axles.{name}" for name in ORDINALS)):
        gawr = stated.get(f"{head}.gawr")
        light = gawr is not None and holds(gawr.value <= LIGHT_AXLE)
        most = 3.2 if light else 2.2
        yield from _ratio(rig, stated, (f"{head}.tyres.max_load",), 2, f"{head}.gawr", (0.2, most))


def _built(rig: Rig[Floats], stated: Stated) -> Iterator[Question]:
    """GVWR and payload that go with no weight of the vehicle, stated or of its class."""
    weight, path, gross = rig.vehicle.weight, "vehicle.payload", "vehicle.gvwr"
    if weight is not None and not {weight.basis, weight.kind} & {*_WEIGHED}:
        # One that is asked about already accuses no other.
        known = ((at, stated.get(at)) for at in (path, gross, "vehicle.weight"))
        clear = {at: x for at, x in known if x and not implausible(at, x.value, rig.vehicle.klass)}
        yield from _ratio(rig, clear, (gross,), 1, "vehicle.weight", (1.0, 2.5))
        yield from _ratio(rig, clear, (path, "vehicle.weight"), 1, gross, (0.8, 1.15))
    band = built_otherwise(rig)
    if band is not None:
        first: System = "us" if region_of(rig) == "north-america" else "metric"
        due = (
            f"{gross} ({stated[gross].text}) less it to be {band.said(first)}, as"
            f" {article(rig.vehicle.klass)} {rig.vehicle.klass} weighs"
        )
        found = quoted(stated[path].text)
        fault = Fault(path=tuple(path.split(".")), due=due, found=found, asks=True)
        yield Question(fault=fault, touches=(path, *_rest_on(gross, rig)), others=(gross,))


def _ratio(
    rig: Rig[Floats],
    stated: Stated,
    paths: tuple[str, ...],
    times: int,
    other: str,
    between: tuple[float, float],
) -> Iterator[Question]:
    """What is asked where the sum of some values, times a number, is not so many times another."""
    values, rating = [stated.get(path) for path in paths], stated.get(other)
    known = [value for value in values if value is not None]
    if rating is None or len(known) < len(values):
        return
    if any(one.sure or one.basis == "assumed" for one in (rating, *known)):
        return
    low, high = between
    share = times * sum(one.value for one in known) / rating.value
    if holds((low <= share) & (share <= high)):
        return
    each = f"{times} of these to be " if times > 1 else "both to be " if len(paths) > 1 else ""
    span = f"{low:g} to {high:g} times" if low else "at most"
    found = " and ".join(quoted(one.text) for one in known)
    fault = Fault(
        path=tuple(paths[0].split(".")),
        due=f"{each}{span} {other} ({rating.text})",
        found=found,
        asks=True,
    )
    touches = (limit for path in (*paths, other) for limit in _rest_on(path, rig))
    others = (*paths[1:], other)
    yield Question(fault=fault, touches=tuple(dict.fromkeys(touches)), others=others)


def _misplaced(rig: Rig[Floats]) -> Iterator[Question]:
    """Stations beyond the ends of what they are on, or outside their place."""
    first: System = "us" if region_of(rig) == "north-america" else "metric"
    for one in misplaced(rig):
        band, text = one.between, one.station.text
        due = f"{band.said(first)}, {one.why}" if band else one.why
        hint = _meant(text, "length", band.low, band.high) if band else ""
        fault = Fault(path=one.path, due=due, found=quoted(text), hint=hint, asks=True)
        touches = (LEVERS,) if one.on == "trailer" else _STANDING
        yield Question(fault=fault, touches=touches, place=one)


_ON_AXLES: Final = ("vehicle.gvwr", "vehicle.front*", "vehicle.rear*", "trailer.axles.*", "road.*")
_STANDING: Final = (*_ON_AXLES, "hitch.bars.rating")
_OF_VEHICLE: Final = (*_ON_AXLES, "vehicle.gcwr", "vehicle.max_trailer_ratio", "rules.*")
_RESTS: Final = (
    (r"trailer\.(empty\..*|length)", ("*",)),
    (r"trailer\.(axles\.(station|spacing)|coupler_height)|hitch\.ball_height", (LEVERS,)),
    (r"vehicle\.(front\.|rear\.)?weight", _OF_VEHICLE),
    (r"vehicle\.(wheelbase|overhang)", _STANDING),
    (r"vehicle\.gvwr", ("vehicle.gvwr", "hitch.*.d")),
    (
        r"trailer\.gvwr",
        (
            *("trailer.gvwr", "vehicle.tow_rating_unbraked", "rules.chains"),
            *("hitch.*.d", "hitch.chains", "hitch.ball.size"),
        ),
    ),
    (r"(.*)\.gawr", (r"\1.gawr", r"\1.tyres.fit")),
    (r"(.*)\.tyres\.wheel_rating", (r"\1.wheel",)),
    (r"(.*)\.tyres\..*", (r"\1.tyres*",)),
    (r"hitch\.(.*)\.(?:rating|distributing)_(trailer|tongue)", (r"hitch.\1.\2",)),
    (r"hitch\.(.*)\.([sd])_value", (r"hitch.\1.\2",)),
    (r"hitch\.chains\.rating_each", ("hitch.chains",)),
    (r"hitch\.jack\.rating", ("hitch.jack",)),
    (r"hitch\..*\.(size|opening|shank)", ("hitch.fit.*", "hitch.ball.size")),
)
"""Values by pattern, and the limits whose rating or load rests on them; any other is its own."""


def _rest_on(path: str, rig: Rig[Floats]) -> tuple[str, ...]:
    """Patterns of the limits that rest on a value; a weight unsaid follows from its GVWR."""
    if path == "trailer.gvwr" and rig.trailer.empty.weight is None:
        return ("*",)
    more = _OF_VEHICLE if path == "vehicle.gvwr" and rig.vehicle.weight is None else ()
    shared = re.sub(r"^trailer\.axles\.(gawr|tyres)", r"trailer.axles.*.\1", path)
    for pattern, limits in _RESTS:
        match = re.fullmatch(pattern, shared)
        if match:
            return (*(match.expand(limit) for limit in limits), *more)
    return (path,)
