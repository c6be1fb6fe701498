"""Slips that explain readings which do not agree: asked about, never put right unasked."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from steelyard.fault import Fault
from steelyard.quantity import Value
from steelyard.weighing.kinds import Platform
from steelyard.weighing.reconcile import Reconciled, reconcile
from steelyard.weighing.ticket import Pass, Ticket

CLEARLY: Final = 0.05
"""Chance from which the readings agree once a slip is undone."""
BARELY: Final = 1e-4
"""The same where undoing it takes a chi-square of `MUCH` away: then the file is off too."""
MUCH: Final = 50.0
"""What nothing but a slip explains: seven sd of one reading (assumed)."""


def mistakes(found: Reconciled) -> tuple[Fault, ...]:
    """Slips without which readings that do not agree would; the likeliest first."""
    if found.sound:
        return ()
    tried = []
    for ticket, fault in _undone(found.weighed.ticket):
        whole = reconcile(found.weighed.rig, ticket).whole
        eased = found.whole.chi_square - whole.chi_square
        if whole.chance >= (BARELY if eased > MUCH else CLEARLY):
            tried.append((whole.chance, fault))
    return tuple(fault for _, fault in sorted(tried, key=lambda pair: -pair[0]))


def _undone(ticket: Ticket) -> Iterator[tuple[Ticket, Fault]]:
    """The ticket as it would be without each slip that may have been made."""
    empty = _vehicle_alone(ticket)
    for name, one in ticket.passes.items():
        pads = {"+".join(r.axles): n for n, r in enumerate(one.readings) if isinstance(r, Platform)}
        if "front" in pads and "rear" in pads:
            front, rear = (one.readings[pads[axle]] for axle in ("front", "rear"))
            swapped = _with(one, pads["front"], rear.value(), pads["rear"], front.value())
            due, said = "front and rear each in its place", "readings that agree once swapped"
            yield _in(ticket, name, swapped), _asks(name, due, said)
        if "all" in pads and one.arrangement == "coupled" and empty is not None:
            net = one.readings[pads["all"]].value()
            gross = replace(net, value=net.value + empty)
            due = "the gross weight of the whole rig"
            said = "a weight that agrees once the vehicle's own is added: a net"
            yield _in(ticket, name, _with(one, pads["all"], gross)), _asks(name, due, said)


def _asks(name: str, due: str, found: str) -> Fault:
    return Fault(path=("passes", name), due=due, found=found, asks=True)


def _vehicle_alone(ticket: Ticket) -> float | None:
    """kg of the vehicle, where a pass of the ticket weighed all of it alone."""
    for one in ticket.passes.values():
        pads = [r for r in one.readings if isinstance(r, Platform)]
        axles = {axle for reading in pads for axle in reading.axles}
        if one.arrangement == "vehicle-alone" and axles in ({"all"}, {"front", "rear"}):
            return sum(reading.value().value for reading in pads)
    return None


def _with(one: Pass, *places: int | Value) -> Pass:
    """A pass with other weights at some of its readings: place, weight, place, weight."""
    readings = list(one.readings)
    for place, value in zip(places[::2], places[1::2], strict=True):
        assert isinstance(place, int)
        readings[place] = readings[place].model_copy(update={"weight": value})
    return one.model_copy(update={"readings": tuple(readings)})


def _in(ticket: Ticket, name: str, one: Pass) -> Ticket:
    return ticket.model_copy(update={"passes": {**ticket.passes, name: one}})
