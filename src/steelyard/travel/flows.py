"""The stages of a trip, and what flows between: fuel burnt on the road, water from tank to tank."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import hypot
from typing import Final

from steelyard.fault import FaultError, missing
from steelyard.quantity import F, Floats, Level, System, Value, shown
from steelyard.quantity.constants import LITRE
from steelyard.rig import Person, Rig, Stage

TO_BLACK: Final = 0.2
"""Part of the water used that ends in the black tank, where the rig does not say (assumed)."""
FLOW_SPREAD: Final = 0.10
"""Relative sd of fuel burnt or water used that came without a spread (assumed)."""


class TripError(FaultError):
    """A trip that cannot happen: more water used than there is, a tank that would overflow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """What passed between two stages, in litres."""

    stage: str
    fuel_burnt_l: float
    water_drawn_l: float
    to_grey_l: float
    to_black_l: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Amount:
    """A share of a tank and its own sd, None for a gauge's usual one."""

    share: float
    sd: float | None


def travelled(rig: Rig[F]) -> Rig[F]:
    """The rig with the levels that its trip's flows leave unsaid.

    A level the file states is that level, whatever flowed: somebody filled or dumped the tank.
    Raises TripError for a flow that no tank can give or take.
    """
    return _travelled(rig)[0]


def flows(rig: Rig[Floats]) -> tuple[Flow, ...]:
    """What flowed before each stage, none before the first."""
    return _travelled(rig)[1]


def unfollowed(rig: Rig[Floats]) -> tuple[str, ...]:
    """Tanks that something flowed from or into, and that hold what is usual all the same, as nobody
    said where their level began; for a rig that has travelled."""
    found: dict[str, None] = {}
    for flow in flows(rig):
        stage = rig.stages[flow.stage]
        if flow.fuel_burnt_l and "fuel" not in stage.vehicle_tanks:
            found["fuel"] = None
        ends = ((flow.water_drawn_l, ("fresh", "water")), (flow.to_grey_l, ("grey",)))
        for litres, contents in (*ends, (flow.to_black_l, ("black",))):
            name = _tank(rig, *contents)
            if litres and name is not None and name not in stage.tanks:
                found[name] = None
    return tuple(found)


def _travelled(rig: Rig[F]) -> tuple[Rig[F], tuple[Flow, ...]]:
    stages: dict[str, Stage[F]] = {}
    found: list[Flow] = []
    before: Stage[F] | None = None
    economy: Value[F] | None = None
    if not any(_flowing(stage) for stage in rig.stages.values()):
        return rig, ()
    for key, stage in rig.stages.items():
        economy = stage.fuel_use or economy
        stages[key] = stage
        if before is not None:
            stages[key], flow = _leg(rig, key, before, stage, economy)
            found += [flow] if _flowing(stage) else []
        before = stages[key]
    return rig.model_copy(update={"stages": stages}), tuple(found)


def _flowing(stage: Stage[Floats]) -> bool:
    """Whether anything is said to have flowed since the stage before."""
    return stage.distance is not None or stage.water_used is not None


def _leg(
    rig: Rig[Floats],
    key: str,
    before: Stage[Floats],
    stage: Stage[F],
    economy: Value[Floats] | None,
) -> tuple[Stage[F], Flow]:
    """A stage after its leg: levels stated there stand, the others follow from the stage before."""
    fuel, fuel_sd = _burnt(stage, economy)
    vehicle = {**before.vehicle_tanks, **stage.vehicle_tanks}
    tank = rig.vehicle.tanks.get("fuel")
    if "fuel" not in stage.vehicle_tanks and fuel > 0 and tank and tank.capacity:
        full = _plain(tank.capacity)
        start = _read(before.vehicle_tanks.get("fuel"), full)
        if start is not None:
            vehicle["fuel"] = _level(_less(rig, key, "fuel", start, fuel, fuel_sd, full))
    tanks, drawn, grey, black = _water(rig, key, before, stage)
    flow = Flow(
        stage=key,
        fuel_burnt_l=fuel / LITRE,
        water_drawn_l=drawn / LITRE,
        to_grey_l=grey / LITRE,
        to_black_l=black / LITRE,
    )
    return stage.model_copy(update={"tanks": tanks, "vehicle_tanks": vehicle}), flow


def _burnt(stage: Stage[Floats], economy: Value[Floats] | None) -> tuple[float, float]:
    """Fuel burnt since the stage before, and its sd, m3."""
    if stage.distance is None or economy is None:
        return 0.0, 0.0
    fuel = _plain(stage.distance) / _plain(economy)
    parts = [_relative(stage.distance, 0.0), _relative(economy, FLOW_SPREAD)]
    return fuel, fuel * hypot(*parts)


def _relative(stated: Value[Floats], usual: float) -> float:
    value = _plain(stated)
    return usual if stated.sd is None or value == 0 else float(stated.sd) / value


def _plain(stated: Value[Floats]) -> float:
    """What flows is read for one rig at a time: TypeError for a column."""
    return float(stated.value)


def _water(
    rig: Rig[Floats], key: str, before: Stage[Floats], stage: Stage[Floats]
) -> tuple[dict[str, Level[Floats]], float, float, float]:
    """Trailer tanks after the leg, and what was drawn, went to grey, went to black (m3).

    What is drawn from fresh ends in grey and black, no drop more or less; where there is no black
    tank all of it goes to grey, and where there is no waste tank at all it leaves the rig.
    """
    tanks = dict(stage.tanks)
    source = _tank(rig, "fresh", "water")
    used = _plain(stage.water_used) if stage.water_used and source else 0.0
    sd = used * _relative(stage.water_used, FLOW_SPREAD) if stage.water_used else 0.0
    grey_tank, black_tank = _tank(rig, "grey"), _tank(rig, "black")
    part = _plain(stage.to_black) if stage.to_black else TO_BLACK
    part = 0.0 if black_tank is None else (1.0 if grey_tank is None else part)
    to_grey, to_black = used * (1.0 - part), used * part
    moved = ((source, -used), (grey_tank, to_grey), (black_tank, to_black))
    changes = {name: amount for name, amount in moved if name is not None}
    for name, tank in rig.trailer.tanks.items():
        full = _plain(tank.capacity)
        start = _read(before.tanks.get(name), full)
        if name in tanks or start is None:
            continue
        amount = changes.get(name, 0.0)
        own = sd * abs(amount) / used if used else 0.0
        tanks[name] = _level(_less(rig, key, name, start, -amount, own, full))
    return tanks, used, to_grey if grey_tank else 0.0, to_black if black_tank else 0.0


def _tank(rig: Rig[Floats], *contents: str) -> str | None:
    """The first trailer tank that holds one of these."""
    return next((n for n, t in rig.trailer.tanks.items() if t.content in contents), None)


def _read(level: Level[Floats] | None, full: float) -> _Amount | None:
    if level is None:
        return None
    whole, sd = full if level.share is None else 1.0, level.stated.sd
    return _Amount(share=_plain(level.stated) / whole, sd=None if sd is None else float(sd) / whole)


def _less(
    rig: Rig[Floats], key: str, tank: str, start: _Amount, taken: float, sd: float, full: float
) -> _Amount:
    """A tank with `taken` (m3, with its sd) gone from it, or come into it where negative."""
    share = start.share - taken / full
    system: System = "us" if rig.region in (None, "north-america") else "metric"
    if share < -1e-9 or share > 1 + 1e-9:
        amount = shown(abs(taken), "volume", system, 1)
        has = start.share if taken > 0 else 1.0 - start.share
        left = shown(has * full, "volume", system, 1)
        what = "to give" if taken > 0 else "of room"
        due, hint = (
            f"at most {left} {what} in {tank}",
            "say the level where it was filled or dumped",
        )
        raise TripError(path=("stages", key), due=due, found=amount, hint=hint)
    own = None if start.sd is None else hypot(start.sd, sd / full)
    return replace(start, share=min(max(share, 0.0), 1.0), sd=own)


def _level(amount: _Amount) -> Level:
    text = f"{100 * amount.share:.6g} %"
    return Level(
        share=Value(
            value=amount.share,
            sd=amount.sd,
            basis="stated",
            includes=None,
            kind=None,
            text=text,
        ),
        volume=None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class StagePlan:
    """One moment of the trip: who and what is aboard, and the road's slope (rad, uphill)."""

    key: str
    title: str
    people: frozenset[str]
    items: frozenset[str]
    grade: float


def plan_stages(rig: Rig[Floats]) -> tuple[StagePlan, ...]:
    """Every stage of the rig in file order."""
    if not rig.stages:
        return (
            StagePlan(
                key="as-described",
                title="as described",
                people=frozenset(rig.people),
                items=frozenset(rig.items),
                grade=0.0,
            ),
        )
    there = frozenset(rig.items) - {name for one in rig.stages.values() for name in one.bought}
    plans = []
    for key, stage in rig.stages.items():
        there = (there | frozenset(stage.bought)) - frozenset(stage.used_up)
        plans.append(_plan(rig, key, there))
    return tuple(plans)


def chosen_stages(
    rig: Rig[Floats], wanted: Iterable[str] | None, argument: str = "stage"
) -> tuple[StagePlan, ...]:
    """The stages asked for by key, all by default.

    Raises FaultError, of what was asked for as `argument`, for one that isn't there.
    """
    plans = plan_stages(rig)
    if wanted is None:
        return plans
    known = {plan.key: plan for plan in plans}
    asked = tuple(wanted)
    for key in asked:
        if key not in known:
            raise FaultError(missing("stages", key, known, argument=argument))
    return tuple(known[key] for key in asked)


def _plan(rig: Rig[Floats], key: str, there: frozenset[str]) -> StagePlan:
    """One stage, with what is `there` unless it lists its own items."""
    stage = rig.stages[key]
    people = rig.people if stage.people is None else stage.people
    items = there if stage.items is None else stage.items
    return StagePlan(
        key=key,
        title=stage.title or key.replace("-", " "),
        people=frozenset(people),
        items=frozenset(items) - frozenset(stage.without),
        grade=float(stage.grade.value) if stage.grade else 0.0,
    )


def crewed(rig: Rig[F]) -> Rig[F]:
    """The rig with a driver in it: where a file lists nobody, one of unsaid weight is assumed."""
    if rig.people:
        return rig
    return rig.model_copy(update={"people": {"driver": Person(seat="driver")}})
