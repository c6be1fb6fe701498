"""Putting a reconciled ticket into the logbook."""

import os
from pathlib import Path

import numpy as np

from steelyard import __version__
from steelyard.cli.options import fail
from steelyard.estimate import Estimate
from steelyard.files import parse_rig
from steelyard.logbook import Logbook, default_path
from steelyard.logbook.recording import recorded
from steelyard.rig import Rig
from steelyard.trip import crewed
from steelyard.weighing import Reconciled


def keep(found: Reconciled, rig_text: str, ticket_text: str, path: str | None) -> tuple[int, Path]:
    """Write the weighing whole; its number and the logbook's place."""
    where = Path(path) if path else default_path(os.environ)
    with Logbook.open(where) as book:
        return book.add(recorded(found, rig_text, ticket_text, __version__)), where


def kept(number: str) -> tuple[Rig, Estimate, float | None]:
    """The rig as weighed, the posterior and the chance, of a weighing in the default logbook."""
    if not number.isdecimal():
        fail(f'--with log:N: expected the number of a weighing, found "{number}"')
    where = default_path(os.environ)
    if not where.exists():
        fail(f"{where}: expected a logbook with weighings in it, found none")
    with Logbook.open(where) as book:
        weighing = book.get(int(number)).weighing
    rig = crewed(parse_rig(weighing.rig_text, f"rig of weighing {number}"))
    posterior = Estimate(
        names=weighing.names,
        scales=weighing.scales,
        mean=np.array(weighing.mean),
        cov=np.array(weighing.cov),
        constants={},
    )
    return rig, posterior, weighing.chance
