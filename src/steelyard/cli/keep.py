"""Putting a reconciled ticket into the logbook."""

import os
from datetime import datetime
from hashlib import sha256
from pathlib import Path

import numpy as np

from steelyard import __version__
from steelyard.cli.options import fail
from steelyard.estimate import Estimate
from steelyard.files import parse_rig
from steelyard.logbook import Logbook, LogbookError, LoggedReading, Weighing, default_path
from steelyard.rig import Rig
from steelyard.trip import crewed
from steelyard.typical import fill
from steelyard.weighing import Reconciled, as_weighed

UNITS = {"mass": ("lb", "kg"), "length": ("in", "mm"), "share": ("%", "%")}


def keep(found: Reconciled, rig_text: str, ticket_text: str, path: str | None) -> tuple[int, Path]:
    """Write the weighing whole; its number and the logbook's place. Bad luck is one sentence."""
    where = Path(path) if path else default_path(os.environ)
    try:
        with Logbook.open(where) as book:
            return book.add(_record(found, rig_text, ticket_text)), where
    except LogbookError as error:
        fail(str(error))


def kept(number: str) -> tuple[Rig, Estimate, float | None]:
    """The rig as weighed, the posterior and the chance, of a weighing in the default logbook."""
    if not number.isdecimal():
        fail(f'--with log:N: expected the number of a weighing, found "{number}"')
    where = default_path(os.environ)
    if not where.exists():
        fail(f"{where}: expected a logbook with weighings in it, found none")
    try:
        with Logbook.open(where) as book:
            weighing = book.get(int(number)).weighing
    except LogbookError as error:
        fail(str(error))
    rig = crewed(parse_rig(weighing.rig_text, f"rig of weighing {number}"))
    posterior = Estimate(
        names=weighing.names,
        scales=weighing.scales,
        mean=np.array(weighing.mean),
        cov=np.array(weighing.cov),
        constants={},
    )
    return rig, posterior, weighing.chance


def _record(found: Reconciled, rig_text: str, ticket_text: str) -> Weighing:
    ticket, state, posterior = found.weighed.ticket, as_weighed(found), found.posterior
    return Weighing(
        rig_name=found.weighed.rig.name,
        rig_hash=_hash(found),
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
        chance=found.chance,
        ticket_text=ticket_text,
        rig_text=rig_text,
        version=__version__,
    )


def _hash(found: Reconciled) -> str:
    """Names the rig by its parameters, so that a posterior is not mistaken for another rig's."""
    rows = fill(found.weighed.rig).parameters.values()
    text = "\n".join(f"{row.name} {row.value!r} {row.sd!r}" for row in rows)
    return sha256(text.encode("utf-8")).hexdigest()[:16]


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
