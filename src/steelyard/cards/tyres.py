"""Cold pressures that the loads of the whole trip ask for, axle by axle."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from steelyard.assessment import Assessment, AxleLoad
from steelyard.quantity import System, shown, unit_of
from steelyard.quantity.units import factor
from steelyard.ratings.tyre_capacity import pressure_for, rated_load, tyres_of
from steelyard.rig import Rig, Tyres

STEP: Final[dict[str, float]] = {"psi": factor("psi", "pressure"), "kPa": 5e3, "bar": 1e4}
"""Pa: pressures are told rounded up to this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pressure:
    """What one axle's tyres ask for: Pa, None where nothing can be said, `why` then says why not.

    load: kg on the heavier tyre, 97.5 percentile of the worst stage; `placard` is whether the
    vehicle's or trailer's own placard is stated, below which nobody goes; `now`: Pa as driven.
    """

    title: str
    load: float
    pressure: float | None
    placard: bool
    now: float | None
    most: float | None
    why: str


def pressures(found: Assessment, system: System) -> tuple[Pressure, ...]:
    """One answer an axle, front to back."""
    return tuple(_asked(found.rig, name, axles, system) for name, axles in _axles(found))


def _axles(found: Assessment) -> Iterator[tuple[str, list[AxleLoad]]]:
    for number, axle in enumerate(found.stages[0].axles):
        yield axle.name, [stage.axles[number] for stage in found.stages]


def _asked(rig: Rig, name: str, stages: list[AxleLoad], system: System) -> Pressure:
    tyres, count = tyres_of(rig, name)
    heaviest = max(max(one.left_kg.high, one.right_kg.high) for one in stages)
    load = heaviest / (count / 2)
    most = tyres.max_pressure.value if tyres.max_pressure else None
    blank = Pressure(
        title=name,
        load=load,
        pressure=None,
        placard=tyres.placard_pressure is not None,
        now=tyres.pressure.value if tyres.pressure else None,
        most=most,
        why="",
    )
    if most is None:
        return replace(blank, why="maximum pressure on the sidewall not stated")
    rated = rated_load(tyres, dual=count >= 4)
    if rated is None and not tyres.table:
        return replace(blank, why="load index or maximum load on the sidewall not stated")
    if tyres.wheel_rating is not None and load > tyres.wheel_rating.value:
        return replace(blank, why="load above the wheel's own rating")
    return _within(blank, pressure_for(rig, name, load), tyres, system)


def _within(blank: Pressure, needed: float, tyres: Tyres, system: System) -> Pressure:
    """Rounded up, not below the placard, not above the sidewall; or why that cannot be."""
    assert blank.most is not None
    placard = tyres.placard_pressure.value if tyres.placard_pressure else 0.0
    if placard > blank.most * (1 + 1e-9):
        return replace(blank, why="placard above the sidewall's maximum: one is misread")
    if needed > blank.most * (1 + 1e-9):
        return replace(blank, why="no pressure up to the sidewall's maximum carries this load")
    step = STEP[unit_of("pressure", system)]
    rounded = math.ceil(max(needed, placard) / step - 1e-6) * step
    return replace(blank, pressure=min(rounded, blank.most))


def told(one: Pressure, system: System) -> str:
    """The number alone: `55`, `≥ 44` where no placard is stated, `?` where nothing is known."""
    return _number(one.pressure, _least(one), system)


def _number(pressure: float | None, least: str, system: System) -> str:
    if pressure is None:
        return "?"
    return f"{least}{pumped(pressure, system)}"


def pumped(pressure: float, system: System) -> str:
    """A pressure without its unit, for a column that names it."""
    return shown(pressure, "pressure", system).split()[0]


def _least(one: Pressure) -> str:
    """`≥ ` where the placard, which is not stated, may ask for more."""
    full = one.pressure is None or (one.most is not None and one.pressure >= one.most)
    return "" if one.placard or full else "≥ "


SEE_BACK: Final = "see the back"
DIFFER: Final = "axles differ: back"


def to_run(one: Pressure, system: System) -> tuple[str, str]:
    """The number to pump to, and what to know of it: nobody is told to go down unseen.

    Where the placard is not stated, the file's own pressure stands as long as it carries the loads.
    """
    pressure, least, note = _pumped(one)
    return _number(pressure, least, system), note


def together(axles: Sequence[Pressure], system: System) -> tuple[str, str]:
    """One number for several axles: the highest that any is pumped to.

    None where that is more than another's sidewall bears, or where one of them is not known.
    """
    each = [_pumped(one) for one in axles]
    known = [row for row in each if row[0] is not None]
    pressure, least, note = max(known, key=lambda row: row[0] or 0.0, default=each[0])
    bears = min((one.most for one in axles if one.most is not None), default=0.0)
    if len(known) < len(each) or pressure is None or pressure > bears * (1 + 1e-9):
        return "?", SEE_BACK
    alike = all(row[2] == note for row in each)
    return _number(pressure, least, system), note if alike else DIFFER


def _pumped(one: Pressure) -> tuple[float | None, str, str]:
    """What to pump to, Pa; the sign before it; what to know of it."""
    if one.pressure is None or one.most is None:
        return None, "", SEE_BACK
    asked, least = one.pressure, _least(one)
    if not least:
        return asked, "", "cold" if asked < one.most else "the sidewall's most"
    if one.now is None:
        return asked, least, "nor below the placard"
    if one.now < asked * (1 - 1e-9):
        return asked, least, "too low now: raise"
    if one.now > one.most * (1 + 1e-9):
        return asked, least, "too high now: lower"
    return one.now, "", "as now: enough"


def explained(one: Pressure, system: System) -> str:
    """Why, and what bounds it."""
    if one.pressure is None:
        return one.why
    bound = "" if one.placard else "placard not stated, never below it; "
    assert one.most is not None
    return f"{bound}at most {shown(one.most, 'pressure', system)}"
