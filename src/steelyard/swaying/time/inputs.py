"""What disturbs the rig in time, as values at corners with straight lines between."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import Array
from steelyard.swaying.time.motion import INPUTS

CALM: Final = 0.5
"""s of straight running before anything happens."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Disturbance:
    """Corners in time, s (K,), rising, and each input there (K, 7), see `motion.INPUTS`."""

    times: Array
    values: Array

    def __add__(self, other: "Disturbance") -> "Disturbance":
        times = np.union1d(self.times, other.times)
        return Disturbance(times=times, values=self.at(times) + other.at(times))

    def at(self, times: Array) -> Array:
        """Inputs (M, 7) at any times; before the first and after the last corner as there."""
        found = np.zeros((len(times), len(INPUTS)))
        for channel in np.flatnonzero(self.values.any(axis=0)):
            found[:, channel] = np.interp(times, self.times, self.values[:, channel])
        return found


def shaped(times: Array, **channels: Array) -> Disturbance:
    """A disturbance from the corners of the channels it has."""
    values = np.zeros((len(times), len(INPUTS)))
    for name, column in channels.items():
        values[:, INPUTS.index(name)] = column
    return Disturbance(times=np.asarray(times, dtype=float), values=values)


def gust(wind: float, lasting: float = 1.0, edge: float = 0.1, start: float = CALM) -> Disturbance:
    """Side wind, m/s, from the right, on vehicle and trailer at once, with edges of `edge` s."""
    times = start + np.array([0.0, edge, edge + lasting, 2 * edge + lasting])
    shape = wind * np.array([0.0, 1.0, 1.0, 0.0])
    return shaped(times, wind1=shape, wind2=shape)


def passing_truck(
    force: float, closing: float = 3.0, length: float = 16.0, reach: float = 8.0, share: float = 0.4
) -> Disturbance:
    """A truck that overtakes on the left: it pushes away as its nose comes by, then draws in.

    force: N, greatest side force on the trailer (no published value was found: a figure of your
    own); closing: m/s of speed difference; length: m of truck; reach: m from the trailer's middle
    to the vehicle's, which feels the same `share` as strongly and later. Shape assumed.
    """
    corners = np.array([0.0, 0.25, 0.5, 0.85, 1.0]) * (length + 6.0) / closing
    shape = force * np.array([0.0, -1.0, 0.0, 0.6, 0.0])
    first = shaped(CALM + corners, force2=shape)
    return first + shaped(CALM + reach / closing + corners, force1=share * shape)


def lane_change(steer: float, lasting: float = 4.0, start: float = CALM) -> Disturbance:
    """One full sine of road-wheel steer, rad, then straight."""
    t = np.linspace(0.0, 1.0, 33)
    return shaped(start + lasting * t, steer=steer * np.sin(2 * np.pi * t))


def steer_impulse(steer: float, lasting: float = 0.4, start: float = CALM) -> Disturbance:
    """Half a sine of road-wheel steer, rad, then held straight: the impulse of ISO 9815."""
    t = np.linspace(0.0, 1.0, 17)
    return shaped(start + lasting * t, steer=steer * np.sin(np.pi * t))


def braking(
    slowing: float, lasting: float = 3.0, edge: float = 0.3, start: float = CALM
) -> Disturbance:
    """Slowing down, m/s2, from `start` on."""
    times = start + np.array([0.0, edge, edge + lasting, 2 * edge + lasting])
    return shaped(times, braking=slowing * np.array([0.0, 1.0, 1.0, 0.0]))


def steps(disturbance: Disturbance, lasting: float, step: float) -> Array:
    """Times (M + 1,) that land on every corner, no further apart than `step`, s."""
    at = disturbance.times
    corners = np.concatenate([[0.0], at[(at > 0) & (at < lasting)], [lasting]])
    length = corners[1:] - corners[:-1]
    counts = np.ceil(length / step - 1e-9).astype(np.intp)
    ends = counts.cumsum()
    past = np.arange(ends[-1]) - (ends - counts).repeat(counts)
    times = np.empty(ends[-1] + 1)
    times[:-1] = corners[:-1].repeat(counts) + (length / counts).repeat(counts) * past
    times[-1] = lasting
    return times
