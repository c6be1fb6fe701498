"""From a ticket to readings on the rig's parameters: passes become stages of a rig of their own."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from steelyard.estimate import Array, Estimate, Reading, Values, extended, unread
from steelyard.quantity import Mass, Scale
from steelyard.rig import Item, Place, Rig, Stage, is_pin
from steelyard.scene import under_way
from steelyard.statics.linkage import group_station
from steelyard.statics.prior import prior
from steelyard.travel import StagePlan, plan_stages
from steelyard.typical import fill
from steelyard.typical.trailer import axle_count
from steelyard.weighing.instrument import ErrorModel, Instrument, coarser
from steelyard.weighing.kinds import ReadingFact, UnderTongue
from steelyard.weighing.pose import Laid, Pose
from steelyard.weighing.ticket import Pass, Ticket, TicketError, check_against

JACK = 0.45
"""m behind the ball: where a tongue jack usually stands (assumed)."""
JACK_SD = 0.1
"""m: how surely (assumed)."""
LEGS, LEGS_SD = 2.2, 0.4
"""m: the same of the landing legs behind a pin (assumed)."""
JACK_NAME = "ticket.jack"
"""Where it stands in passes that do not say."""
NEAREST = 0.8
"""Of the way from ball to axles: nobody props a tongue further back (assumed)."""
EXACT = 1e-6
"""SI: least sd of a reading; two that claim none at all would leave nothing to solve."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One reading of the ticket with its pass and error model; `coarse`: steps as all that its
    scale showed has them, coarser than the default, where nobody says."""

    pass_name: str
    reading: ReadingFact
    error: ErrorModel
    slope: str | None
    coarse: Mass | None = None

    @property
    def name(self) -> str:
        """Pass and what was read."""
        return f"{self.pass_name}: {self.reading.label()}"

    @property
    def scale(self) -> str:
        """Which of the ticket's scales; its kind, where none is named."""
        return self.reading.scale or self.reading.kind


@dataclass(frozen=True, kw_only=True)
class Weighed:
    """A ticket laid on its rig: the prior with what only the ticket needs, and the readings.

    `own` are the rig's parameters, the only ones kept when the ticket has been read.
    """

    rig: Rig
    ticket: Ticket
    prior: Estimate
    own: tuple[str, ...]
    lines: tuple[Line, ...]
    readings: tuple[Reading, ...]
    poses: "Poses"


class Poses:
    """All passes at one set of values, kept until other values come."""

    def __init__(self, rig: Rig, ticket: Ticket, keys: dict[str, str]) -> None:
        """Passes by name, each at the stage `keys` names, of the ticket's own `rig`."""
        plans = {plan.key: plan for plan in plan_stages(rig)}
        self._rig, self._passes, self._keys = rig, ticket.passes, keys
        bars = rig.hitch.bars  # the stage they were set at is solved along, not once more apart
        barred = any(one.bars == "on" for one in ticket.passes.values())
        own = [bars.set_at or next(iter(plans))] if bars is not None and barred else []
        self._stages = list(dict.fromkeys([*keys.values(), *own]))
        self._plans: tuple[StagePlan, ...] = tuple(plans[key] for key in self._stages)
        self._last: tuple[Values, Laid, dict[str, Pose]] | None = None

    def __getstate__(self) -> dict[str, Any]:
        return {**self.__dict__, "_last": None}

    def load_of(self, name: str) -> str:
        """The stage of the ticket's own whose load a pass was taken with."""
        return self._keys[name]

    def at(self, name: str, v: Values) -> Pose:
        """The pose of one pass."""
        if self._last is None or self._last[0] is not v:
            self._last = v, Laid(self._rig, v, self._plans), {}
        _, laid, poses = self._last
        if name not in poses:
            poses[name] = self._pose(name, laid)
        return poses[name]

    def _pose(self, name: str, laid: Laid) -> Pose:
        one = self._passes[name]
        return Pose(
            laid=laid,
            stage=self._stages.index(self._keys[name]),
            arrangement=one.arrangement,
            bars=one.bars == "on",
            off_parts=one.off_parts,
            coupler_height=one.coupler_height.value if one.coupler_height else None,
            support=laid.values[JACK_NAME] if (said := _support(self._rig, one)) is None else said,
        )


def _support(rig: Rig, one: Pass) -> float | None:
    """Where an uncoupled tongue stands, m aft of the ball, if pass, a scale under it or rig say."""
    scales = [reading.station for reading in one.readings if isinstance(reading, UnderTongue)]
    jack = rig.hitch.jack.station if rig.hitch.jack is not None else None
    said = [x.value for x in (one.support_station, *scales, jack) if x is not None]
    if said or one.arrangement != "trailer-alone":
        return said[0] if said else JACK
    return None


def lay(rig: Rig, ticket: Ticket) -> Weighed:
    """Lay a ticket on a rig. Raises TicketError where the two do not fit.

    Each load a pass was taken with becomes a stage of a rig of the ticket's own, so its tank levels
    and people are parameters of their own and leak into no other stage.
    """
    rig = under_way(rig)
    check_against(ticket, rig, axle_count(rig))
    own = unread(fill(rig)).names
    wider, keys = _with_passes(rig, ticket)
    lines = _lines(ticket)
    estimate = extended(prior(wider).estimate, [*_nuisances(lines), *_jack(rig, ticket)])
    _ahead_of_axles(ticket, group_station(wider, estimate.at_mean()))
    poses = Poses(wider, ticket, keys)
    readings = tuple(_reading(line, poses) for line in lines)
    return Weighed(
        rig=rig,
        ticket=ticket,
        prior=estimate,
        own=own,
        lines=lines,
        readings=readings,
        poses=poses,
    )


def _ahead_of_axles(ticket: Ticket, axle: Array) -> None:
    """Refuse a jack or scale so near the axles, or behind them, that the tongue would rise."""
    for name, one in ticket.passes.items():
        stands = [reading.station for reading in one.readings if isinstance(reading, UnderTongue)]
        stands += [one.support_station] if one.support_station is not None else []
        for station in stands:
            if station.value > NEAREST * float(axle):
                due = "jack and scales well ahead of the trailer's axles"
                found = f"one at {station.text} aft of the ball, the axles at {float(axle):.2f} m"
                raise TicketError(path=("passes", name), due=due, found=found)


def _reading(line: Line, poses: Poses) -> Reading:
    return Reading(
        name=line.name,
        predict=Prediction(line, poses),
        value=line.reading.value().value,
        sd=max(line.error.own, EXACT),
    )


@dataclass(frozen=True, eq=False)
class Prediction:
    """What a reading should be given the parameters, its instrument's slope included."""

    line: Line
    poses: Poses

    def __call__(self, v: Values) -> Array:
        """Arrays (n,), SI, at values (n,)."""
        shown = self.line.reading.predict(self.poses.at(self.line.pass_name, v), v)
        slope = self.line.slope
        return shown if slope is None else np.asarray(shown * (1.0 + v[slope]))


def _lines(ticket: Ticket) -> tuple[Line, ...]:
    found, shown = [], _shown(ticket)
    for name, one in ticket.passes.items():
        for reading in one.readings:
            scale = reading.scale or reading.kind
            stated = ticket.scales.get(scale)
            said = stated is not None and stated.graduation is not None
            step = None if said or scale not in shown else coarser(reading.kind, shown[scale])
            if step is not None:
                stated = (stated or Instrument()).model_copy(update={"graduation": step})
            error = reading.error(stated)
            slope = f"ticket.scales.{scale}.slope" if error.slope > 0 else None
            found.append(
                Line(pass_name=name, reading=reading, error=error, slope=slope, coarse=step)
            )
    return tuple(found)


def _shown(ticket: Ticket) -> dict[str, set[float]]:
    """What each scale for weights showed, kg."""
    shown: dict[str, set[float]] = {}
    for one in ticket.passes.values():
        for reading in one.readings:
            if reading.dimension == "mass":
                shown.setdefault(reading.scale or reading.kind, set()).add(reading.value().value)
    return shown


def _nuisances(lines: tuple[Line, ...]) -> list[tuple[str, Scale, float, float]]:
    """Parameters of the ticket alone: slopes of its scales, arch heights, spring friction."""
    found: dict[str, tuple[str, Scale, float, float]] = {}
    for line in lines:
        if line.slope is not None:
            found[line.slope] = (line.slope, "linear", 0.0, line.error.slope)
        for extra in line.reading.nuisances():
            found[extra[0]] = extra
    return list(found.values())


def _jack(rig: Rig, ticket: Ticket) -> list[tuple[str, Scale, float, float]]:
    """The jack's place as a parameter, where an uncoupled trailer stands on it and nobody says."""
    unsaid = any(_support(rig, one) is None for one in ticket.passes.values())
    where = (LEGS, LEGS_SD) if is_pin(rig) else (JACK, JACK_SD)
    return [(JACK_NAME, "log", *where)] if unsaid else []


def _with_passes(rig: Rig, ticket: Ticket) -> tuple[Rig, dict[str, str]]:
    """The rig with one more stage for every load that passes were taken with, and whose it is."""
    stages = dict(rig.stages) or {plan.key: Stage() for plan in plan_stages(rig)}
    extra = {f"{name} {word}" for name, one in ticket.passes.items() for word in one.added}
    stages = {
        key: stage.model_copy(update={"without": (*stage.without, *sorted(extra))})
        for key, stage in stages.items()
    }
    places, items, keys = dict(rig.places), dict(rig.items), {}
    loads: dict[str, str] = {}
    for name, one in ticket.passes.items():
        fingerprint = repr(
            (
                one.stage,
                one.people,
                one.items,
                one.without,
                one.tanks,
                one.vehicle_tanks,
                one.grade,
                name if one.added else None,
            )
        )
        keys[name] = loads.setdefault(fingerprint, f"ticket #{len(loads) + 1}")
        mine = {f"{name} {word}" for word in one.added}
        stages.setdefault(keys[name], _stage(rig, one, mine, extra - mine))
        for word, added in one.added.items():
            places[f"{name} {word}"] = Place(on=added.on, station=added.station)
            items[f"{name} {word}"] = Item(
                weight=added.weight, place=f"{name} {word}", station=added.station
            )
    return rig.model_copy(update={"stages": stages, "places": places, "items": items}), keys


def _stage(rig: Rig, one: Pass, mine: set[str], others: set[str]) -> Stage:
    """The load of a pass: its stage's, overridden by what the pass itself says."""
    base = rig.stages.get(one.stage, Stage()) if one.stage else Stage()
    items = one.items if one.items is not None else base.items
    if items is not None:
        items = (*items, *sorted(mine))
    return base.model_copy(
        update={
            "tanks": {**base.tanks, **one.tanks},
            "vehicle_tanks": {**base.vehicle_tanks, **one.vehicle_tanks},
            "people": one.people if one.people is not None else base.people,
            "items": items,
            "without": (*base.without, *one.without, *sorted(others)),
            "grade": one.grade or base.grade,
        }
    )
