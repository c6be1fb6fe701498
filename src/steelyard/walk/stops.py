"""The stops of the walk round a rig: what is asked, where a person stands, in which units."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import Any, Final

from steelyard.quantity import Dimension, System, unit_of
from steelyard.rig import Rig, is_pin
from steelyard.scene import region_of
from steelyard.typical.trailer import axle_count
from steelyard.words.trade import HOOKS

_WHOLE: Final[Mapping[Dimension, str]] = {"force": "kN"}
"""Units of a label where they are not the reader's usual ones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One question: its key of the rig file, what it is called, how its label says it, and what its
    answer settles, found by what it is `also` called; picked from `options` where there are any,
    counted where neither a dimension nor options are said; asked of trailers of at least so many
    `axles`, and of these `kinds` of vehicle or trailer alone where any are said."""

    at: str
    words: str
    reads: str
    asks: str
    limits: tuple[str, ...]
    dimension: Dimension | None = None
    options: tuple[str, ...] = ()
    kind: str = ""
    basis: str = ""
    flag: str = ""
    long: str = ""
    also: str = ""
    regions: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    axles: int = 1

    def unit(self, system: System) -> str:
        """The unit that a bare number is taken in; nothing where there is none."""
        if self.dimension is None:
            return ""
        return _WHOLE.get(self.dimension) or unit_of(self.dimension, system)

    def stands(self, rig: Rig) -> bool:
        """Whether it is asked of a rig."""
        region, kinds = region_of(rig), {rig.vehicle.klass, rig.trailer.style}
        if axle_count(rig) < self.axles or (self.kinds and kinds.isdisjoint(self.kinds)):
            return False
        return region in (self.regions or (region,))

    def rates(self, limit: str) -> bool:
        """Whether its answer gives a limit its rating."""
        return any(fnmatchcase(limit, one) for one in self.limits)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What one looks at, drawn as it looks: a label, a plate, a sketch."""

    name: str
    head: str
    said: str
    fields: tuple[Field, ...]
    regions: tuple[str, ...] = ()
    coupling: tuple[str, ...] = ()
    bars: str = ""

    def stands(self, rig: Rig) -> bool:
        """Whether such a thing is on a rig."""
        fitted = "with" if rig.hitch.bars is not None else "without"
        pins = "pin" if is_pin(rig) else "hook" if rig.hitch.kind in HOOKS else "ball"
        return (
            region_of(rig) in (self.regions or (region_of(rig),))
            and pins in (self.coupling or (pins,))
            and self.bars in ("", fitted)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """Where a person stands; `spot` names the place on the rig's side; `pin`: title and the like
    where the hitch is in the bed."""

    name: str
    title: str
    about: str
    spot: str
    sheets: tuple[Sheet, ...]
    pin: Mapping[str, str] | None = None

    @property
    def fields(self) -> tuple[Field, ...]:
        """Its fields, in order."""
        return tuple(field for sheet in self.sheets for field in sheet.fields)


@cache
def every_stop() -> tuple[Stop, ...]:
    """All stops with all that is asked of any rig."""
    text = Path(__file__).with_name("stops.toml").read_text("utf-8")
    return tuple(_stop(row) for row in tomllib.loads(text)["stop"])


def stops(rig: Rig) -> tuple[Stop, ...]:
    """The walk round one rig: by region, coupling and bars."""
    return tuple(_aboard(rig, _of(rig, stop)) for stop in every_stop())


def fields(of: Sequence[Stop] | None = None) -> Iterator[Field]:
    """The fields of some stops, all of them unless told."""
    for stop in every_stop() if of is None else of:
        yield from stop.fields


def flags() -> dict[str, Field]:
    """Fields that `steelyard new` asks too, by the name of the option, in the walk's order."""
    found: dict[str, Field] = {}
    for field in fields():
        if field.flag:
            found.setdefault(field.flag.replace("-", "_"), field)
    return found


def _aboard(rig: Rig, stop: Stop) -> Stop:
    """With the weight of each who is aboard, where people are asked for."""
    if stop.spot != "seats" or not rig.people:
        return stop
    weights = tuple(_weight_of(name, one.seat) for name, one in rig.people.items())
    return replace(
        stop, sheets=(Sheet(name="aboard", head="", said="", fields=weights), *stop.sheets)
    )


def _weight_of(name: str, seat: str) -> Field:
    who = name.replace("-", " ")
    beside = f"{who}, {seat.replace('-', ' ')}" if name != seat else who
    return Field(
        at=f"people.{name}.weight",
        words=f"{who}'s weight",
        reads=f"{beside}: weight, clothed",
        asks="what the seats carry",
        limits=(),
        dimension="mass",
    )


def _of(rig: Rig, stop: Stop) -> Stop:
    kept = [(sheet, tuple(one for one in sheet.fields if one.stands(rig))) for sheet in stop.sheets]
    sheets = tuple(replace(one, fields=own) for one, own in kept if own and one.stands(rig))
    called = stop.pin if stop.pin and is_pin(rig) else {"title": stop.title, "about": stop.about}
    return replace(stop, sheets=sheets, title=called["title"], about=called["about"])


def _stop(row: Mapping[str, Any]) -> Stop:
    return Stop(
        name=row["name"],
        title=row["title"],
        about=row["about"],
        spot=row["spot"],
        sheets=tuple(_sheet(one) for one in row.get("sheet", ())),
        pin=row.get("pin"),
    )


def _sheet(row: Mapping[str, Any]) -> Sheet:
    return Sheet(
        name=row["name"],
        head=row.get("head", ""),
        said=row.get("said", ""),
        fields=tuple(_field(one) for one in row["field"]),
        regions=tuple(row.get("regions", ())),
        coupling=tuple(row.get("coupling", ())),
        bars=row.get("bars", ""),
    )


def _field(row: Mapping[str, Any]) -> Field:
    more = {key: tuple(row.get(key, ())) for key in ("options", "regions", "kinds")}
    limits = tuple(row.get("limits", (row["at"],)))
    return Field(**{**row, **more, "limits": limits})
