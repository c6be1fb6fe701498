"""A ticket: what was read, pass by pass, and in which arrangement."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date as day
from typing import Annotated, Any, Final, Literal

from pydantic import BeforeValidator, Field, model_validator

from steelyard.fault import Fault, FaultError, listed, missing, quoted
from steelyard.quantity import Angle, FillLevel, Height, Mass, Station, refused
from steelyard.rig import Rig
from steelyard.rig.base import Fact, Name, Named, Title
from steelyard.typical.hitch import parts
from steelyard.typical.load import stage_names
from steelyard.typical.vehicle import tank_names
from steelyard.weighing.instrument import Instrument
from steelyard.weighing.kinds import AnyReading, Platform, Wheel
from steelyard.weighing.pose import Arrangement

TICKET: Final = 1
"""Version of the ticket's form; it only grows."""
ARRANGEMENTS: Final = {
    "vehicle alone": {"arrangement": "vehicle-alone"},
    "bars off": {"bars": "off"},
    "bars on": {"bars": "on"},
    "coupled": {},
    "trailer alone": {"arrangement": "trailer-alone"},
}
"""The words of a CSV ticket's `arrangement` column; a pass in full is said so too."""


class Added(Fact):
    """A known weight put on for one pass, such as two people on the tailgate."""

    weight: Mass
    on: Literal["vehicle", "trailer"] = "vehicle"
    station: Station = Field(description="aft of the front axle, or of the ball")


class Pass(Fact):
    """Readings taken in one arrangement of the rig."""

    arrangement: Arrangement = "coupled"
    bars: Literal["on", "off"] | None = Field(default=None, description="spring bars hooked up")
    stage: Name | None = Field(default=None, description="the rig's stage whose load was aboard")
    people: tuple[Name, ...] | None = Field(default=None, description="aboard; all if unsaid")
    items: tuple[Name, ...] | None = Field(default=None, description="aboard; all if unsaid")
    without: tuple[Name, ...] = Field(default=(), description="items not aboard")
    off_parts: tuple[str, ...] = Field(default=(), description="hitch parts not on the vehicle")
    tanks: Named[Name, FillLevel] = Field(default_factory=dict)
    vehicle_tanks: Named[Name, FillLevel] = Field(default_factory=dict)
    added: Named[Name, Added] = Field(default_factory=dict)
    grade: Angle | None = None
    coupler_height: Height | None = Field(
        default=None, description="uncoupled trailer: coupler above ground; level if unsaid"
    )
    support_station: Station | None = Field(
        default=None, description="uncoupled trailer: its jack, aft of the ball"
    )
    readings: tuple[AnyReading, ...]

    @model_validator(mode="before")
    @classmethod
    def _worded(cls, said: Any) -> Any:
        """An arrangement in the words of a CSV ticket, and bars that it does not contradict."""
        words = said.get("arrangement") if isinstance(said, Mapping) else None
        keys = ARRANGEMENTS.get(words.strip().lower()) if isinstance(words, str) else None
        if keys is None or said.get("bars", keys.get("bars")) != keys.get("bars", said.get("bars")):
            return said
        return {**{key: one for key, one in said.items() if key != "arrangement"}, **keys}


def _written(found: object) -> object:
    """A day that TOML knows for one, as text."""
    return str(found) if isinstance(found, day) else found


class Ticket(Fact):
    """A weighing: passes in the order in which they were taken."""

    ticket: Literal[1] = Field(default=1, description="version of this file's form; first key")
    rig: Title | None = Field(default=None, description="the rig's name, asked about if another")
    vehicle: Title | None = Field(default=None, description="the vehicle's title, likewise")
    date: Annotated[Title, BeforeValidator(_written)] | None = Field(
        default=None, description="2026-05-03, or with a time"
    )
    place: Title | None = None
    note: Annotated[str, Field(max_length=500)] | None = None
    sure: bool = Field(
        default=False, description="it is of this rig and this day, and as it was read"
    )
    scales: Named[Name, Instrument] = Field(default_factory=dict)
    passes: Named[Name, Pass] = Field(description="at least one pass")

    @model_validator(mode="after")
    def _consistent(self) -> "Ticket":
        for fault in _faults(self):
            raise refused(fault)
        return self


def _faults(ticket: Ticket) -> Iterator[Fault]:
    if not ticket.passes:
        yield Fault(path=("passes",), due="at least one pass", found="none")
    for name, one in ticket.passes.items():
        path = ("passes", name)
        if one.arrangement != "coupled" and one.bars == "on":
            due = "bars on in a coupled pass only"
            yield Fault(path=(*path, "bars"), due=due, found=one.arrangement)
        if not one.readings:
            yield Fault(path=(*path, "readings"), due="at least one reading", found="none")
        seen = set[tuple[object, ...]]()
        for number, reading in enumerate(one.readings):
            where = (*path, "readings", number)
            for due, found in _reading_faults(reading, one.arrangement, ticket.scales):
                yield Fault(path=where, due=due, found=found)
            key = (*reading.target(), reading.value().value)
            if key in seen:
                found = f"{reading.label()} twice alike"
                yield Fault(path=where, due="each reading once", found=found)
            seen.add(key)


def _reading_faults(
    reading: AnyReading, arrangement: Arrangement, scales: Named[str, Instrument]
) -> Iterator[tuple[str, str]]:
    """What is due and what was found, where a reading cannot be of its pass."""
    if arrangement not in reading.arrangements:
        yield f"a {reading.kind} in a pass {' or '.join(reading.arrangements)}", arrangement
    yield from _axle_faults(reading, arrangement)
    if reading.scale is not None and reading.scale not in scales:
        yield f"one of the ticket's scales ({listed(scales)})", f'"{reading.scale}"'


def _axle_faults(reading: object, arrangement: Arrangement) -> Iterator[tuple[str, str]]:
    axles = reading.axles if isinstance(reading, Platform) else ()
    if isinstance(reading, Platform) and not axles:
        yield "at least one axle on the pad", "none"
    axles = (reading.axle,) if isinstance(reading, Wheel) else axles
    whole = {"all", "trailer"} & set(axles)
    if (
        len(set(axles)) < len(axles)
        or ("all" in axles and len(axles) > 1)
        or (whole and any(axle.startswith("trailer-") for axle in axles))
    ):
        yield "each axle once on the pad", ", ".join(axles)
    for axle in axles:
        on_trailer = axle.startswith("trailer")
        if arrangement == "vehicle-alone" and on_trailer:
            yield "axles of the vehicle on the pad", f"{axle} with no trailer"
        if arrangement == "trailer-alone" and axle in ("front", "rear"):
            yield "axles of the trailer on the pad", f"{axle} with no vehicle"


class TicketError(FaultError):
    """A ticket that does not fit its rig."""


def check_against(ticket: Ticket, rig: Rig, axles: int) -> None:
    """Raise TicketError where the ticket speaks of something the rig does not have."""
    for name, one in ticket.passes.items():
        for fault in _unfit(one, rig, axles):
            raise TicketError(fault).within(path=("passes", name))


def _unfit(one: Pass, rig: Rig, axles: int) -> Iterator[Fault]:
    tanks = rig.trailer.tanks
    on_hitch = [name.replace("reducers.", "reducer ").replace("_", " ") for name in parts(rig)]
    on_hitch += ["spring bars"] if rig.hitch.bars is not None else []
    yield from _unknown("stage", [one.stage] if one.stage else [], stage_names(rig), "stages")
    yield from _unknown("people", one.people or (), rig.people, "people")
    yield from _unknown("items", (*(one.items or ()), *one.without), rig.items, "items")
    yield from _unknown("tanks", one.tanks, tanks, "tanks")
    yield from _unknown("vehicle_tanks", one.vehicle_tanks, tank_names(rig.vehicle), "tanks")
    yield from _unknown("off_parts", one.off_parts, on_hitch, "hitch parts")
    if one.arrangement == "coupled" and one.bars is None and rig.hitch.bars is not None:
        due = '"on" or "off", as this rig has spring bars'
        yield Fault(path=("bars",), due=due, found="neither")
    if one.bars == "on" and rig.hitch.bars is None:
        yield Fault(path=("bars",), due="a rig with spring bars", found="none in it")
    for number, reading in enumerate(one.readings):
        for fault in (*_misfits(reading, rig, axles), *_behind(reading, rig)):
            yield replace(fault, path=("readings", number))


def _unknown(key: str, found: Iterable[str], known: Iterable[str], kind: str) -> Iterator[Fault]:
    names = list(known)
    for word in found:
        if word not in names:
            yield missing(f"rig's {kind}", word, names, path=(key,))


def _behind(reading: AnyReading, rig: Rig) -> Iterator[Fault]:
    """A scale under the tongue stands ahead of the axles."""
    station = getattr(reading, "station", None)
    axle = rig.trailer.axles.station
    if station is not None and axle is not None and station.value > 0.8 * axle.value:
        due = "a scale under the tongue, well ahead of the axles"
        yield Fault(due=due, found=f"it {quoted(station.text)} behind the ball")


def _misfits(reading: AnyReading, rig: Rig, axles: int) -> Iterator[Fault]:
    if reading.kind == "tank-gauge":
        yield from _unknown("tank", [reading.tank], rig.trailer.tanks, "tanks")
    named = reading.axles if isinstance(reading, Platform) else ()
    named = (reading.axle,) if isinstance(reading, Wheel) else named
    for axle in named:
        if axle.startswith("trailer-") and int(axle[-1]) > axles:
            yield Fault(due=f"a trailer axle up to {axles}", found=axle)
