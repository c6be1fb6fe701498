"""Questions of one ticket: do its readings agree among themselves, and with the rig file; is it of
this rig, and of now?

The chi-square of all readings falls into two parts, independent where nothing is wrong. Between the
readings is what no weight anywhere on either body could explain, and what the file's own spreads
explain less of than the instruments' errors; the rest is the file's.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate, Reading
from steelyard.estimate.tails import chi_square_chance
from steelyard.fault import Fault, quoted
from steelyard.rig import Rig
from steelyard.weighing.ticket import Ticket

DOUBTFUL: Final = 0.01
"""Chance below which readings do not agree."""
FREE: Final = {
    f"{body}.{key}": step
    for body in ("vehicle", "trailer.empty")
    for key, step in (("weight", 1.0), ("cg", 0.01), ("cg_offset", 0.01))
}
"""What stands for a weight anywhere on a body, and a small step of it (kg, m)."""
LEVELS: Final = "stages.ticket #"
"""How levels of the ticket's own tanks begin: what is in them is the file's word too."""
FLAT: Final = 1e-6
"""Part of the largest direction below which one tells the readings nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """A chi-square of `degrees`, with the chance of worse where nothing is wrong: 1 of no degree,
    where there is nothing to hold one reading against."""

    chi_square: float
    degrees: int

    @property
    def chance(self) -> float:
        """Chance of worse."""
        return chi_square_chance(self.chi_square, self.degrees)

    @property
    def ratio(self) -> float:
        """Birge's: times as large as claimed that errors look, at least 1."""
        return max(self.chi_square / self.degrees, 1.0) ** 0.5 if self.degrees else 1.0

    @property
    def holds(self) -> bool:
        """Whether they agree."""
        return self.chance >= DOUBTFUL


def apart(
    full: Estimate,
    readings: tuple[Reading, ...],
    slope: Array,
    innovation: Array,
    file: Array,
    noise: Array,
) -> tuple[Agreement, Agreement]:
    """Agreement among the readings, and of all of them with the file.

    full: the posterior over all parameters; slope: (m, p) at its mean; innovation: (m,), whose
    covariance (m, m) is what the file leaves open and, noise, what the instruments do.
    """
    if not all(np.isfinite(x).all() for x in (slope, innovation, file, noise)):
        none = Agreement(chi_square=float("nan"), degrees=len(innovation))
        return none, none
    root = np.linalg.cholesky(noise)
    off, free = (np.linalg.solve(root, x) for x in (innovation, _free(full, readings, slope)))
    open_ = np.linalg.solve(root, np.linalg.solve(root, file).T)
    left = _beyond(free)
    spread, axes = np.linalg.eigh(left.T @ open_ @ left)
    between = spread < 1.0
    part = (axes.T @ left.T @ off)[between] ** 2 / (1.0 + np.maximum(spread[between], 0.0))
    whole = float(off @ np.linalg.solve(np.eye(len(off)) + open_, off))
    among, degrees = float(part.sum()), int(between.sum())
    return (
        Agreement(chi_square=among, degrees=degrees),
        Agreement(chi_square=max(whole - among, 0.0), degrees=len(off) - degrees),
    )


def _beyond(free: Array) -> Array:
    """An orthonormal basis (m, k) of what no free direction (m, f) reaches."""
    size = np.linalg.norm(free, axis=0)
    there = free[:, size > 0] / size[size > 0]
    axes, told, _ = np.linalg.svd(there, full_matrices=True)
    return np.asarray(axes[:, int(np.sum(told > FLAT)) :])


def _free(full: Estimate, readings: tuple[Reading, ...], slope: Array) -> Array:
    """What the readings would show more of, (m, k), in each free direction."""
    at = full.at_mean()
    names = [name for name in FREE if name in at]
    steps = np.concatenate([np.zeros((1, len(names))), np.diag([FREE[name] for name in names])])
    moved = {name: at[name] + step for name, step in zip(names, steps.T, strict=True)}
    v = {**at, **moved}
    shown = np.array([np.broadcast_to(one.predict(v), len(steps)) for one in readings])
    levels = [full.index[name] for name in full.names if name.startswith(LEVELS)]
    tanks = slope[:, levels] * full.sd[levels]
    found = np.hstack([shown[:, 1:] - shown[:, :1], tanks])
    return np.asarray(np.where(np.isfinite(found), found, 0.0))


SEASON: Final = 183
"""Days after which a weighing is old: tyres, springs and what rides along are not as they were."""


def questions(ticket: Ticket, rig: Rig, today: date) -> tuple[Fault, ...]:
    """What makes a ticket doubtful for this rig; none where it says that it is sure."""
    return () if ticket.sure else tuple(_doubts(ticket, rig, today))


def _doubts(ticket: Ticket, rig: Rig, today: date) -> Iterator[Fault]:
    names = (
        (("rig",), ticket.rig, rig.name),
        (("vehicle",), ticket.vehicle, rig.vehicle.title),
    )
    for path, found, due in names:
        if found and due and _plain(found) != _plain(due):
            yield Fault(path=path, due=f"a ticket of {quoted(due)}", found=quoted(found), asks=True)
    taken = day(ticket.date)
    if ticket.date and taken is None:
        yield Fault(
            path=("date",), due="a day such as 2026-05-03", found=quoted(ticket.date), asks=True
        )
    if taken is not None and taken > today:
        due = f"a day up to today ({today})"
        yield Fault(path=("date",), due=due, found=str(taken), asks=True)
    since = day(rig.since)
    if taken is not None and since is not None and taken < since:
        due = f"a day from {since} on, since when the rig is as its file says"
        yield Fault(path=("date",), due=due, found=str(taken), asks=True)


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def day(text: str | None) -> date | None:
    """The day of an ISO date, with a time or without; None where it is none."""
    try:
        return date.fromisoformat((text or "")[:10])
    except ValueError:
        return None


def old(taken: str | None, today: date) -> int | None:
    """Days since a weighing, where a season or more has passed."""
    then = day(taken)
    days = (today - then).days if then else 0
    return days if days > SEASON else None
