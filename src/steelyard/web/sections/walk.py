"""The walk round a rig: one section a stop, and the running line at the foot."""

import re
from collections.abc import Iterator, Mapping
from functools import cache, partial
from typing import Any, Final, get_args

import numpy as np
from markupsafe import Markup

from steelyard.drawing.rig import rig_picture
from steelyard.drawing.walk import body_picture, map_picture, style_picture, tape_picture
from steelyard.labels import Proposal, Reading
from steelyard.quantity import System, Value, parse, shown
from steelyard.quantity.units import dimension_of
from steelyard.rig import Rig
from steelyard.rig.kinds import Region, TrailerStyle, VehicleClass
from steelyard.typical.vehicle import seat_names
from steelyard.walk.doubts import Doubt, doubts
from steelyard.walk.foot import foot
from steelyard.walk.next import held, says, stated
from steelyard.walk.starting_rig import pictured
from steelyard.walk.stops import Field, Stop, every_stop, fields, stops
from steelyard.walk.typed_answer import shown_as
from steelyard.web.acts.labels import KEPT, taking
from steelyard.web.form import spoken
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.sections.rides import rides
from steelyard.web.session import Seen
from steelyard.web.work import Work
from steelyard.words.trade import said as said_as
from steelyard.words.trade import synonyms

HERE: Final = "stop"
"""The choice of a look that says at which stop one is."""
NAMES: Final = tuple(stop.name for stop in every_stop())


def bodies_and_styles() -> Mapping[str, Any]:
    """Bodies and styles, each with its picture."""
    return {
        "bodies": [(name, _spoken(name), _body(name)) for name in get_args(VehicleClass)],
        "styles": [(name, _spoken(name), _style(name)) for name in get_args(TrailerStyle)],
        "regions": [(name, _spoken(name).title()) for name in get_args(Region)],
    }


def stop_facts(name: str, seen: Seen, look: Look) -> Mapping[str, Any]:
    """One stop as it stands: its sheets with what is answered."""
    work, system = seen.work, look.system(seen.work)
    walk = stops(work.rig)
    at = NAMES.index(name)
    after = walk[at + 1] if at + 1 < len(walk) else None
    doubted = {**_unlike(seen, name), **doubts(work.rig, walk, system)}
    return {
        "stop": walk[at],
        "number": at + 1,
        "of": len(walk),
        "map": Markup(_map(work, walk, name)),
        "sheets": [
            (sheet, [_row(work, field, doubted, system) for field in sheet.fields])
            for sheet in walk[at].sheets
        ],
        "after": after,
        "tape": _tape(work, walk[at]) if name == "tape" else None,
        "label": _label(seen, walk, name),
        **_seats(work, name),
        **({"rides": rides(work, system)} if name == "rides" else {}),
    }


def list_facts(seen: Seen, _look: Look) -> Mapping[str, Any]:
    """Every stop, and every field by whatever word it goes by."""
    rig = seen.work.rig
    walk = stops(rig)
    return {
        "stops": [(stop, _count(rig, stop)) for stop in walk],
        "fields": [(stop, field, _goes_by(field)) for stop in walk for field in stop.fields],
    }


def _count(rig: Rig, stop: Stop) -> str:
    """`2 of 6`, or how many sit or ride there."""
    held = {"people": rig.people, "rides": rig.items}.get(stop.name)
    if held is not None:
        return f"{len(held)} aboard"
    return f"{sum(stated(rig, field) for field in stop.fields)} of {len(stop.fields)}"


@cache
def _goes_by(field: Field) -> str:
    path = field.at.replace(".", " ").replace("_", " ")
    text = f"{field.words} {field.reads} {field.long} {field.also} {field.asks} {path}"
    return f"{text} {synonyms(text)}".lower()


def known_facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The rig as it is known so far, where the screen is wide."""
    work, system = seen.work, look.system(seen.work)
    stage = work.found.worst_stage.key
    return {
        "picture": Markup(rig_picture(work.found, stage, system, wide=False, lever=False))
        if look.wide
        else ""
    }


def foot_facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The verdict so far and the next most useful answer."""
    work = seen.work
    here = look.choice.get(HERE, "")
    return {"foot": foot(work.found, stops(work.rig), look.system(work), here, work.doubt)}


def _row(work: Work, field: Field, doubted: Mapping[str, Any], system: System) -> Mapping[str, Any]:
    rig, unit = work.rig, field.unit(system)
    said = held(rig, field.at)
    value = said if isinstance(said, Value) and said.basis != "assumed" else None
    plain = None if isinstance(said, Value) else said
    text = shown_as(value.text if value else plain, unit)
    own = value is not None and text == value.text  # said in a unit of its own
    return {
        "field": field,
        "words": said_as(field.words),
        "unit": unit,
        "text": text,
        "own": own,
        "other": _other(value, field, system, own=own)
        or _usual(work, field, system, said=value is not None),
        "doubt": doubted.get(field.at),
        "stated": stated(rig, field),
        "picked": _picked(rig, field, unit),
    }


def _usual(work: Work, field: Field, system: System, *, said: bool) -> str:
    """What a tape would usually say there, while it is not said."""
    size = (
        None if said or field.basis != "measured" else work.found.estimate.at_mean().get(field.at)
    )
    return "" if size is None else f"usual {shown(float(np.ravel(size)[0]), 'length', system)}"


def _picked(rig: Rig, field: Field, unit: str) -> str:
    said = held(rig, field.at)
    if isinstance(said, Value):
        return next((one for one in field.options if said.text in (one, f"{one} {unit}")), "")
    if field.at == "hitch.bars":  # none, once a line of the sticker was read
        said = said is not None or (False if rig.hitch.receiver else None)
    if isinstance(said, bool):
        return "yes" if said else "no"
    return str(said or "") if field.options else ""


def _other(value: Value | None, field: Field, system: System, *, own: bool) -> str:
    """The same number in the other units, as a label has it in brackets."""
    if value is None or field.dimension not in ("mass", "pressure"):
        return ""
    other: System = "metric" if (system == "us") is not own else "us"
    return shown(value.value, field.dimension, other)


def _laid(seen: Seen, name: str) -> Reading | None:
    """What was read off a label pasted at a stop."""
    laid = seen.laid.get(KEPT)
    return laid[1] if laid is not None and laid[0] == name else None


def _label(seen: Seen, walk: tuple[Stop, ...], name: str) -> Mapping[str, Any] | None:
    """The pasted label: each number beside its words, and how many can be taken."""
    reading = _laid(seen, name)
    if reading is None:
        return None
    known = {field.at: field.words for field in fields(walk)}
    rows = [
        {
            "called": known.get(one.at, spoken(one.at)),
            "one": one,
            "typed": _typed(seen.work.rig, one),
        }
        for one in reading.proposals
    ]
    return {"said": reading.said, "rows": rows, "count": len(taking(seen.work.rig, reading))}


def _typed(rig: Rig, one: Proposal) -> str:
    """What the rig says already of what a label's number states."""
    value = held(rig, one.at)
    return value.text if isinstance(value, Value) and says(rig, one.at) else ""


def _unlike(seen: Seen, name: str) -> Mapping[str, Doubt]:
    """Where something else was typed than the label's text says."""
    reading = _laid(seen, name)
    found: dict[str, Doubt] = {}
    for one in reading.proposals if reading else ():
        value = held(seen.work.rig, one.at)
        if one.text is None or not isinstance(value, Value) or not says(seen.work.rig, one.at):
            continue
        if value.sure:
            continue
        read = parse(one.text, dimension_of(one.text.split(" ")[1]) or "mass").value
        if abs(read - value.value) > 1e-9 * abs(read) + 0.5 * (one.status == "single"):
            found[one.at] = Doubt(at=one.at, words=f"The text says {one.text}.", mend=one.text)
    return found


def _map(work: Work, walk: tuple[Stop, ...], name: str) -> str:
    done = {stop.name for stop in walk if _answered(work.rig, stop)}
    return map_picture(work.found, [(stop.name, stop.spot) for stop in walk], name, done)


def _answered(rig: Rig, stop: Stop) -> bool:
    held = {"people": rig.people, "rides": rig.items}.get(stop.name)
    return bool(held) or any(stated(rig, field) for field in stop.fields)


def _tape(work: Work, stop: Stop) -> Markup:
    return Markup(tape_picture(work.found, {field.at: field.words for field in stop.fields}))


def _seats(work: Work, name: str) -> Mapping[str, Any]:
    if name != "people":
        return {}
    taken = {one.seat: key for key, one in work.rig.people.items()}
    rows = [
        {"seat": seat, "words": seat.replace("-", " "), "who": taken.get(seat)}
        for seat in seat_names(work.rig)
    ]
    return {"seats": rows}


def _spoken(name: str) -> str:
    words = name.replace("-", " ").replace("suv", "SUV").replace("three quarter", "three-quarter")
    return re.sub(r"(\w+) (ton|size|axle)\b", r"\1-\2", words)


@cache
def _body(name: str) -> Markup:
    return Markup(body_picture(pictured(vehicle=name)))


@cache
def _style(name: str) -> Markup:
    return Markup(style_picture(pictured(style=name)))


def _sections() -> Iterator[Section]:
    yield Section("start", "What stands here", "", lambda *_: bodies_and_styles())
    for stop in every_stop():
        facts = partial(stop_facts, stop.name)
        name = f"stop-{stop.name}"
        own = partial(_laid, name=stop.name)
        yield Section(name, stop.title, stop.about, facts, template="stop", own=own)
    yield Section("list", "All stops", "", list_facts)
    yield Section("known", "Known so far", "", known_facts)
    yield Section("foot", "The verdict so far", "", foot_facts)


WALK: Final = tuple(_sections())


def walked(look: Look) -> list[Section]:
    """What changes where one stands: the stop in view, the list, the rig so far, the foot; all of
    it before one stands anywhere."""
    here = look.choice.get(HERE)
    if here not in NAMES:
        return [*WALK]
    shown = (f"stop-{here}", "list", "known", "foot")
    return [one for one in WALK if one.name in shown]
