"""What is doubted of a stated value, at its field: few words, and the one press that mends it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from steelyard.quantity import Dimension, QuantityError, System, Value, parse, to_border, unit_of
from steelyard.quantity.parse import parted
from steelyard.ratings import Question, questions
from steelyard.ratings.questions import kind_at
from steelyard.rig import Rig
from steelyard.typical.plausible import Band, usual
from steelyard.walk.next import held, holding
from steelyard.walk.stops import Field, Stop, fields
from steelyard.walk.typed_answer import Slip
from steelyard.words.unstated import without_keys

_OTHER: Final = {
    "lb": "kg",
    "kg": "lb",
    "in": "ft",
    "psi": "bar",
    "kPa": "psi",
    "bar": "psi",
    "mm": "m",
}
"""Units that are written for one another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """At a field: why, and the text that would mend it, None where all one can say is that it is
    so."""

    at: str
    words: str
    mend: str | None


def doubts(rig: Rig, walk: tuple[Stop, ...], system: System) -> dict[str, Doubt]:
    """What is doubted, by field."""
    known = {field.at: field for field in fields(walk)}
    found: dict[str, Doubt] = {}
    asked = questions(rig)
    for one in asked:
        paths = [path for path in (one.at, *one.others) if path in known]
        if not paths:
            continue
        mends = (
            (path, text) for path in paths for text in _mends(rig, known[path], one, asked, system)
        )
        at, mend = next(mends, (paths[0], None))
        words = _words(rig, one, at, known, system)
        found.setdefault(at, Doubt(at=at, words=words, mend=mend))
    return found


def _words(rig: Rig, one: Question, at: str, known: Mapping[str, Field], system: System) -> str:
    """`Usually 5,200 to 8,600 lb.` or `Does not go with GVWR, 7200 lb.`, else what is asked."""
    others = [path for path in (one.at, *one.others) if path != at] if one.others else []
    for path in reversed(others):
        value, field = _value(rig, path), known.get(path)
        if value is not None and field is not None:
            return f"Does not go with {field.words}, {value.text}."
    if one.place is not None and one.place.between is not None:
        return f"Due: {_span(one.place.between, system)}, {one.place.why}."
    band, said = _band(rig, at), _value(rig, at)
    if band is not None and (said is None or not band.low <= said.value <= band.high):
        return _usually(band, system)
    return f"Expected {without_keys(one.fault.due)}."


def unusual(rig: Rig, field: Field, text: str, system: System) -> Slip | None:
    """Of a text that makes no rig: what is usual there and the slip that it may be; None where it
    is usual or nobody knows."""
    band, value = _band(rig, field.at), field.dimension and _read(text, field.dimension)
    if band is None or value is None or band.low <= value.value <= band.high:
        return None
    read = {one: _read(one, band.dimension) for one in _slips(text, field.unit(system))}
    mends = (one for one, new in read.items() if new and band.low <= new.value <= band.high)
    return Slip(words=_usually(band, system), mend=next(mends, ""))


def _band(rig: Rig, at: str) -> Band | None:
    return usual(at, kind_at(at, rig))


def _usually(band: Band, system: System) -> str:
    return f"Usually {_span(band, system)}."


def _span(band: Band, system: System) -> str:
    low, high = (f"{to_border(x, band.dimension, system):,.3g}" for x in (band.low, band.high))
    return f"{_whole(low)} to {_whole(high)} {unit_of(band.dimension, system)}"


def _whole(text: str) -> str:
    """`5,200` for `5.2e+03`."""
    return f"{float(text.replace(',', '')):,.10g}"


def _mends(
    rig: Rig, field: Field, one: Question, asked: tuple[Question, ...], system: System
) -> Iterator[str]:
    """Texts that may have been meant, with which this would be asked no more and nothing new."""
    rest = {again.at for again in asked} - {one.at}
    value, unit = _value(rig, field.at), field.unit(system)
    if value is None or field.dimension is None:
        return
    for text in _slips(value.text, unit):
        new = _read(text, field.dimension)
        if new and {again.at for again in questions(holding(rig, field.at, new))} <= rest:
            yield text


def _slips(text: str, unit: str) -> Iterator[str]:
    """A digit too many, a digit too few, the other unit, thousands parted in
    European style: as such slips are common."""
    number, _, mine = text.partition(" ")
    if parted(text):
        yield text.replace(".", "", 1)
    if number.isdecimal():
        if len(number) > 1:
            yield f"{number[:-1]} {mine}"
        yield f"{number}0 {mine}"
    if (mine or unit) in _OTHER:
        yield f"{number} {_OTHER[mine or unit]}"


def _read(text: str, dimension: Dimension) -> Value | None:
    try:
        return parse(text, dimension)
    except QuantityError:
        return None


def _value(rig: Rig, path: str) -> Value | None:
    found = held(rig, path)
    return found if isinstance(found, Value) else None
