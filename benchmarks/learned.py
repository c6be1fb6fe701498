"""A log of 10,000 weighings learned from, against a bare SELECT of the same rows."""

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import logged
import numpy as np
from machine import seconds
from table import Row

from steelyard.learning import Evidence, Learnt, Taught, learn
from steelyard.logbook.records import Logged, Weighing
from steelyard.logbook.store import Logbook

COUNT = 10_000
RIGS = 2_500
STYLES = ("rear-living", "rear-bunk", "enclosed-cargo", "fifth-wheel")
TARGET = 30.0
"""s, read and learned."""


def rows() -> Iterator[Row]:
    """Reading and learning."""
    with TemporaryDirectory() as folder, Logbook.open(Path(folder) / "logbook.sqlite") as book:
        book.bring_in(_log())
        bare = sqlite3.connect(book.path)
        command = "SELECT * FROM weighing JOIN posterior ON weighing = id"
        found = seconds(lambda: _learned(book), repeats=1)
        base = seconds(lambda: bare.execute(command).fetchall())
        bare.close()
        yield Row(
            name=f"log of {COUNT:,} learned from",
            measured=f"{found:.1f} s, {RIGS:,} rigs of {len(STYLES)} styles",
            ratio=f"{found / base:.1f} x the time",
            baseline=f"a bare SELECT of weighings and posteriors, {base:.2f} s",
            target=f"{TARGET:.0f} s",
            met=found < TARGET,
        )


def _learned(book: Logbook) -> tuple[Learnt, ...]:
    return learn(
        Taught(rig_name=one.rig_name, rig_hash=one.rig_hash, evidence=one.evidence or ())
        for one in book.lessons()
    )


def _log() -> Iterator[Logged]:
    rng = np.random.default_rng(0)
    for n in range(COUNT):
        yield Logged(id=n + 1, written="2026-01-01T00:00:00+00:00", weighing=_weighing(n, rng))


def _weighing(n: int, rng: np.random.Generator) -> Weighing:
    rig = n % RIGS
    share = 0.12 + 0.015 * float(rng.standard_normal())
    trailer = Evidence(
        part="trailer",
        style=STYLES[rig % len(STYLES)],
        names=("options_share", "tongue_share"),
        prior_mean=(0.06, 0.12),
        prior_cov=((6.5e-4, 0.0), (0.0, 2.6e-4)),
        mean=(0.06, share),
        cov=((2.4e-4, 1e-6), (1e-6, 4e-5)),
        chance=0.5,
    )
    vehicle = replace(
        trailer, part="vehicle", style="half-ton-crew-cab", names=("payload_ratio", "front_share")
    )
    base = logged.weighing(n)
    name = f"rig {rig}"
    return replace(base, rig_name=name, rig_hash=name, evidence=(trailer, vehicle))
