"""A reconciled ticket as a weighing that a logbook can keep."""

from datetime import datetime
from typing import Final

from steelyard.learning import evidence
from steelyard.logbook.records import LoggedReading, Weighing
from steelyard.scene import fingerprint
from steelyard.weighing.reconcile import Reconciled
from steelyard.weighing.weighed_state import as_weighed

UNITS: Final = {"mass": ("lb", "kg"), "length": ("in", "mm"), "share": ("%", "%")}


def recorded(found: Reconciled, rig_text: str, ticket_text: str, version: str) -> Weighing:
    """A reconciled ticket as the logbook keeps it, with both files' texts as they were.

    version: the program's.
    """
    ticket, state, posterior = found.weighed.ticket, as_weighed(found), found.posterior
    return Weighing(
        rig_name=found.weighed.rig.name,
        rig_hash=fingerprint(found.weighed.rig),
        taken=ticket.date or datetime.now().astimezone().isoformat(timespec="seconds"),
        place=ticket.place,
        note=ticket.note,
        readings=_readings(found),
        names=posterior.names,
        scales=posterior.scales,
        mean=tuple(float(x) for x in posterior.mean),
        cov=tuple(tuple(float(x) for x in row) for row in posterior.cov),
        trailer_kg=state.trailer_kg,
        trailer_sd_kg=state.trailer_sd_kg,
        tongue_kg=state.tongue_kg,
        tongue_sd_kg=state.tongue_sd_kg,
        share=state.share,
        share_sd=state.share_sd,
        chance=_chance(found),
        ticket_text=ticket_text,
        rig_text=rig_text,
        version=version,
        evidence=evidence(found),
    )


def _chance(found: Reconciled) -> float | None:
    """That of worse agreement; none where a slip is asked about: as they stand they do not agree
    with what the rig could be."""
    if found.slips:
        return 0.0
    return found.among.chance if found.among.degrees else None


def _readings(found: Reconciled) -> tuple[LoggedReading, ...]:
    pairs = zip(found.weighed.lines, found.readings, strict=True)
    return tuple(
        LoggedReading(
            pass_name=line.pass_name,
            kind=one.kind,
            name=line.reading.label(),
            value_si=one.value,
            sd_si=one.own_sd,
            unit=_unit(line.reading.value().text, one.dimension),
            text=line.reading.value().text,
            predicted_si=one.predicted,
            standardised=one.standardised,
        )
        for line, one in pairs
    )


def _unit(text: str, dimension: str) -> str:
    """The unit, US or metric, that the reading was written in."""
    us, metric = UNITS[dimension]
    return us if any(word in text for word in ("lb", "in", "ft", "'", '"')) else metric
