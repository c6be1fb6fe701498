"""Putting a reconciled ticket into the logbook."""

from pathlib import Path

import numpy as np

from steelyard import __version__
from steelyard.cli.options import fail
from steelyard.estimate import Estimate
from steelyard.fault import FaultError
from steelyard.files import parse_rig
from steelyard.files.tickets import again
from steelyard.logbook.from_ticket import recorded
from steelyard.logbook.records import Weighing
from steelyard.logbook.store import Logbook
from steelyard.logbook.where import default_path
from steelyard.rig import Owned, Rig
from steelyard.weighing.reconcile import Reconciled


def keep(found: Reconciled, rig_text: str, ticket_text: str, path: str | None) -> tuple[int, Path]:
    """Write the weighing whole; its number and the logbook's place."""
    where = Path(path) if path else default_path()
    with Logbook.open(where) as book:
        return book.add(recorded(found, rig_text, ticket_text, __version__)), where


def kept(number: str, own: Owned) -> tuple[Rig, Estimate, Weighing, Reconciled | None]:
    """The rig as weighed, the posterior, the weighing and its ticket reconciled, from the default
    logbook.

    The posterior is worked out again from both files as they were, so that it remembers what was
    read; where this version can no longer read them, it is the one written down.
    """
    if not number.isdecimal():
        fail(f'--with log:N: expected the number of a weighing, found "{number}"')
    where = default_path()
    if not where.exists():
        fail(f"{where}: expected a logbook with weighings in it, found none")
    with Logbook.open(where) as book:
        weighing = book.get(int(number)).weighing
    try:
        found = again(weighing.rig_text, weighing.ticket_text, int(number), own)
    except FaultError:
        rig = parse_rig(weighing.rig_text, f"rig of weighing {number}").owning(own)
        return rig, _written(weighing), weighing, None
    return found.weighed.rig, found.posterior, weighing, found


def _written(weighing: Weighing) -> Estimate:
    """The posterior as it was written down."""
    return Estimate(
        names=weighing.names,
        scales=weighing.scales,
        mean=np.array(weighing.mean),
        cov=np.array(weighing.cov),
        constants={},
    )
