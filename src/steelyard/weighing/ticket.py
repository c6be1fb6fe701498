"""A ticket: what was read, pass by pass, and in which arrangement."""

from collections.abc import Iterator
from typing import Annotated, Final, Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from steelyard.quantity import Angle, FillLevel, Height, Mass, Station
from steelyard.rig import Rig, nearest
from steelyard.rig.base import Fact, Name, Named, Title
from steelyard.typical import parts, stage_names, tank_names
from steelyard.weighing.instrument import Instrument
from steelyard.weighing.kinds import AnyReading, Platform, Wheel
from steelyard.weighing.scene import Arrangement

TICKET: Final = 1
"""Version of the ticket's form; it only grows."""


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


class Ticket(Fact):
    """A weighing: passes in the order in which they were taken."""

    ticket: Literal[1] = Field(default=1, description="version of this file's form; first key")
    rig: Title | None = None
    date: Title | None = Field(default=None, description="2026-05-03, or with a time")
    place: Title | None = None
    note: Annotated[str, Field(max_length=500)] | None = None
    scales: Named[Name, Instrument] = Field(default_factory=dict)
    passes: Named[Name, Pass]

    @model_validator(mode="after")
    def _consistent(self) -> "Ticket":
        for path, why in _faults(self):
            raise PydanticCustomError("rig", "{why}", {"why": why, "path": ".".join(path)})
        return self


def _faults(ticket: Ticket) -> Iterator[tuple[tuple[str, ...], str]]:
    if not ticket.passes:
        yield ("passes",), "expected at least one pass, found none"
    for name, one in ticket.passes.items():
        path = ("passes", name)
        if one.arrangement != "coupled" and one.bars == "on":
            yield (
                (*path, "bars"),
                f"expected bars on in a coupled pass only, found {one.arrangement}",
            )
        if not one.readings:
            yield (*path, "readings"), "expected at least one reading, found none"
        seen: dict[tuple[object, ...], int] = {}
        for number, reading in enumerate(one.readings):
            where = (*path, "readings", str(number))
            if one.arrangement not in reading.arrangements:
                allowed = " or ".join(reading.arrangements)
                yield (
                    where,
                    f"expected a {reading.kind} in a pass {allowed}, found {one.arrangement}",
                )
            yield from ((where, why) for why in _axle_faults(reading, one.arrangement))
            if reading.scale is not None and reading.scale not in ticket.scales:
                known = ", ".join(ticket.scales) or "none is given"
                yield (
                    where,
                    f'expected one of the ticket\'s scales ({known}), found "{reading.scale}"',
                )
            key = (*reading.target(), reading.value().value)
            if key in seen:
                yield (
                    where,
                    f"expected each reading once, found {reading.label()} twice alike",
                )
            seen[key] = number


def _axle_faults(reading: object, arrangement: Arrangement) -> Iterator[str]:
    axles = reading.axles if isinstance(reading, Platform) else ()
    if isinstance(reading, Platform) and not axles:
        yield "expected at least one axle on the pad, found none"
    axles = (reading.axle,) if isinstance(reading, Wheel) else axles
    whole = {"all", "trailer"} & set(axles)
    if (
        len(set(axles)) < len(axles)
        or ("all" in axles and len(axles) > 1)
        or (whole and any(axle.startswith("trailer-") for axle in axles))
    ):
        yield f"expected each axle once on the pad, found {', '.join(axles)}"
    for axle in axles:
        on_trailer = axle.startswith("trailer")
        if arrangement == "vehicle-alone" and on_trailer:
            yield f"expected axles of the vehicle on the pad, found {axle} with no trailer"
        if arrangement == "trailer-alone" and axle in ("front", "rear"):
            yield f"expected axles of the trailer on the pad, found {axle} with no vehicle"


class TicketError(ValueError):
    """A ticket that does not fit its rig; the message names the pass and what is due."""


def check_against(ticket: Ticket, rig: Rig, axles: int) -> None:
    """Raise TicketError where the ticket speaks of something the rig does not have."""
    for name, one in ticket.passes.items():
        where = f"passes.{name}"
        _known(f"{where}.stage", [one.stage] if one.stage else [], stage_names(rig), "stages")
        _known(f"{where}.people", one.people or (), rig.people, "people")
        _known(f"{where}.items", (*(one.items or ()), *one.without), rig.items, "items")
        _known(f"{where}.tanks", one.tanks, rig.trailer.tanks, "tanks")
        _known(f"{where}.vehicle_tanks", one.vehicle_tanks, tank_names(rig.vehicle), "tanks")
        on_hitch = [name.replace("reducers.", "reducer ").replace("_", " ") for name in parts(rig)]
        on_hitch += ["spring bars"] if rig.hitch.bars is not None else []
        _known(f"{where}.off_parts", one.off_parts, on_hitch, "hitch parts")
        if one.arrangement == "coupled" and one.bars is None and rig.hitch.bars is not None:
            raise TicketError(
                f'{where}.bars: expected "on" or "off", as this rig has spring bars; found neither'
            )
        if one.bars == "on" and rig.hitch.bars is None:
            raise TicketError(f"{where}.bars: expected a rig with spring bars, found none in it")
        for reading in one.readings:
            _fits(where, reading, rig, axles)
            _behind(where, reading, rig)


def _known(where: str, found: object, known: object, kind: str) -> None:
    names = list(known)  # type: ignore[call-overload]
    for word in found:  # type: ignore[attr-defined]
        if word not in names:
            listed = ", ".join(names) or "none"
            raise TicketError(
                f'{where}: expected one of the rig\'s {kind} ({listed}), found "{word}"'
                f"{nearest(word, names)}"
            )


def _behind(where: str, reading: AnyReading, rig: Rig) -> None:
    """A scale under the tongue stands ahead of the axles."""
    station = getattr(reading, "station", None)
    axle = rig.trailer.axles.station
    if station is not None and axle is not None and station.value > 0.8 * axle.value:
        raise TicketError(
            f"{where}: expected a scale under the tongue, well ahead of the axles, found it"
            f" {station.text!r} behind the ball"
        )


def _fits(where: str, reading: AnyReading, rig: Rig, axles: int) -> None:
    if reading.kind == "tank-gauge":
        _known(f"{where}.readings", [reading.tank], rig.trailer.tanks, "tanks")
    named = reading.axles if isinstance(reading, Platform) else ()
    named = (reading.axle,) if isinstance(reading, Wheel) else named
    for axle in named:
        if axle.startswith("trailer-") and int(axle[-1]) > axles:
            raise TicketError(f"{where}: expected a trailer axle up to {axles}, found {axle}")
