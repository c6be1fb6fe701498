"""Tyre load capacity against pressure and speed.

Everything is element-wise on arrays with free leading axes, in SI: loads as the
mass in kg one tyre may carry, cold gauge pressures in Pa, speeds in m/s. A load
may as well be given in newtons: a capacity comes back in the unit of the load
that went in.

The numbers, each with its source and whether it was read or is from memory, are
in ``data/tyres.toml``, read once when first asked for.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from steelyard.quantity import INCH
from steelyard.quantity.constants import HOUR, MILE, POUND_FORCE

FloatArray = NDArray[np.float64]

_DATA = Path(__file__).parent / "data" / "tyres.toml"
_PSI = POUND_FORCE / INCH**2
_MPH = MILE / HOUR
_KMH = 1e3 / HOUR


@dataclass(frozen=True, kw_only=True, slots=True)
class SpeedRule:
    """What a speed asks of a tyre, in the shape of that speed.

    ``extra_pressure`` [Pa] goes on top of the pressure the load needs and adds
    no capacity; ``load_factor`` multiplies the capacity (0 where the tyre must
    not run at all); ``allowed`` is False above the highest speed.
    """

    extra_pressure: FloatArray
    load_factor: FloatArray
    allowed: NDArray[np.bool_]


@cache
def _data() -> dict[str, Any]:
    with _DATA.open("rb") as file:
        return tomllib.load(file)


def _floats(value: ArrayLike) -> FloatArray:
    return np.asarray(value, dtype=np.float64)


def load_index_mass(index: ArrayLike) -> FloatArray:
    """Mass [kg] one tyre of a load index (60 to 150) may carry.

    Source: ISO 4000-1 / ETRTO load index table. The shape of ``index`` is kept.

    >>> float(load_index_mass(102))
    850.0
    """
    table = _data()["load_index"]
    masses = _floats(table["mass_kg"])
    offset = _floats(index) - table["first"]
    known = (offset == np.floor(offset)) & (offset >= 0) & (offset < len(masses))
    if not np.all(known):
        last = table["first"] + len(masses) - 1
        raise ValueError(
            f"load index {index!r} is not a whole number from {table['first']} to {last}"
        )
    return _floats(masses[offset.astype(np.intp)])


def speed_symbol(symbol: str) -> float:
    """Highest speed [m/s] of a speed symbol, ``F`` (80 km/h) to ``Y`` (300 km/h).

    >>> round(speed_symbol("L") * 3.6)
    120
    """
    speeds: dict[str, float] = _data()["speed_symbol"]["kmh"]
    if symbol.upper() not in speeds:
        raise ValueError(f"speed symbol {symbol!r} is not one of {', '.join(speeds)}")
    return speeds[symbol.upper()] * _KMH


def kinds() -> tuple[str, ...]:
    """Kinds of tyre that ``exponent`` knows."""
    return tuple(_data()["exponent"])


def exponent(kind: str) -> float | None:
    """Exponent n of ``capacity`` for a kind of tyre; None where only rows will do.

    ``st`` (special trailer) has none: its published rows follow no one power law.
    """
    table = _data()["exponent"]
    if kind not in table:
        raise ValueError(f"tyre kind {kind!r} is not one of {', '.join(table)}")
    value = table[kind].get("value")
    return None if value is None else float(value)


def full_load_pressure(kind: str | None, *, extra_load: bool) -> float | None:
    """Pressure [Pa] at which a passenger tyre bears its full load; None for other kinds.

    Its standard fixes it; a sidewall's maximum may be higher, for speed, and adds no load. Extra
    load (reinforced) has the higher one: the more cautious where it is not known which.

    >>> full_load_pressure("etrto-passenger", extra_load=False)
    250000.0
    """
    row = _data()["full_load_pressure"].get(kind)
    return float(row["extra_load_kpa" if extra_load else "standard_kpa"]) * 1e3 if row else None


def cautious_exponent(kind: str) -> float:
    """The exponent of a kind, or the largest of all kinds where it has none.

    Below the maximum pressure a larger exponent gives a smaller capacity, so the
    largest is the one that errs on the safe side.
    """
    value = exponent(kind)
    known = (exponent(other) for other in kinds())
    return value if value is not None else max(n for n in known if n is not None)


def capacity(
    max_load: ArrayLike, max_pressure: ArrayLike, pressure: ArrayLike, exponent: ArrayLike
) -> FloatArray:
    """Load a tyre may carry at a pressure: L = Lmax (P/Pmax)^n, never above Lmax.

    Arguments broadcast: ``max_load`` [kg] at ``max_pressure`` [Pa], cold
    ``pressure`` [Pa], ``exponent`` [-]. Pressure above the maximum adds nothing
    and at or below zero gauge the capacity is zero.

    Caution: below the maximum this is a model, not a rating. Daws (Tire Society,
    2009) argues that a stiffness model needs more pressure at part load than
    these exponents give. Published rows (``table_capacity``) come first; straight
    lines between rows lie below this concave curve and so err on the safe side.

    >>> float(capacity(1000.0, 400e3, 100e3, 0.5))
    500.0
    """
    ratio = np.clip(_floats(pressure) / _floats(max_pressure), 0.0, 1.0)
    return _floats(_floats(max_load) * ratio ** _floats(exponent))


def pressure_for(
    load: ArrayLike,
    max_load: ArrayLike,
    max_pressure: ArrayLike,
    exponent: ArrayLike,
    lowest: ArrayLike = 0.0,
) -> FloatArray:
    """Pressure [Pa] at which ``capacity`` equals a load, not below ``lowest``.

    Infinite where the load is above ``max_load``: no pressure carries it.
    """
    share = np.maximum(_floats(load), 0.0) / _floats(max_load)
    pressure = _floats(max_pressure) * share ** (1.0 / _floats(exponent))
    return np.where(share > 1.0, np.inf, np.maximum(pressure, _floats(lowest)))


def _rising(pressures: ArrayLike, loads: ArrayLike) -> tuple[FloatArray, FloatArray]:
    p, w = _floats(pressures), _floats(loads)
    if p.ndim != 1 or p.shape != w.shape or p.size == 0:
        raise ValueError("tyre rows need one load for each pressure")
    if p[0] <= 0 or w[0] <= 0 or np.any(np.diff(p) <= 0) or np.any(np.diff(w) <= 0):
        raise ValueError("tyre rows must be positive and rise in pressure and load")
    return np.concatenate(([0.0], p)), np.concatenate(([0.0], w))


def table_capacity(pressures: ArrayLike, loads: ArrayLike, pressure: ArrayLike) -> FloatArray:
    """Load at a pressure from published rows: ``pressures`` [Pa] and ``loads``, ``(n,)``.

    Straight between rows, the last row's load above it, and below the first row
    in proportion to pressure down to nothing. Load rises with a power of pressure
    below one, so a straight line through the origin lies under the true curve:
    where no row is published, the answer is too small, never too large.
    """
    p, w = _rising(pressures, loads)
    return _floats(np.interp(_floats(pressure), p, w))


def table_pressure_for(pressures: ArrayLike, loads: ArrayLike, load: ArrayLike) -> FloatArray:
    """Pressure [Pa] at which ``table_capacity`` equals a load; infinite above the last row."""
    p, w = _rising(pressures, loads)
    return _floats(np.interp(_floats(load), w, p, right=np.inf))


def p_metric_on_trailer(load: ArrayLike) -> FloatArray:
    """Rating of a passenger (P-metric) tyre on a trailer, truck or MPV: load / 1.10.

    Source: 49 CFR 571.120 S5.1.2. A common shortcut, times 0.91, gives 0.1 % more.
    """
    return _floats(_floats(load) / _data()["p_metric_on_trailer"]["divisor"])


def st_speed_rule(speed: ArrayLike, rated_speed: ArrayLike | None = None) -> SpeedRule:
    """What a speed [m/s] asks of a special trailer (ST) tyre.

    To 65 mph nothing; to 75 mph 10 psi more; to 87 mph 10 psi more and 10 % less
    load; never above 87 mph or ``rated_speed``, the speed of the tyre's symbol. The
    extra pressure adds no load. The text seen grants a tyre with a symbol no
    relief below it, so none is given. Source: Tire and Rim Association.
    """
    rule, v = _data()["st_speed"], _floats(speed)
    fast = v > rule["base_mph"] * _MPH * (1 + 1e-12)
    faster = v > rule["extra_pressure_to_mph"] * _MPH * (1 + 1e-12)
    top = np.minimum(rule["never_above_mph"] * _MPH, np.inf if rated_speed is None else rated_speed)
    allowed = np.asarray(v <= top * (1 + 1e-12))
    factor = np.where(faster, rule["reduced_load_factor"], 1.0)
    return SpeedRule(
        extra_pressure=np.where(fast, rule["extra_pressure_psi"] * _PSI, 0.0),
        load_factor=np.where(allowed, factor, 0.0),
        allowed=allowed,
    )


def capacity_at_speed(
    load: ArrayLike, speed: ArrayLike, kind: str, rated_speed: ArrayLike | None = None
) -> FloatArray:
    """Capacity ``load`` as a speed [m/s] leaves it; 0 where the tyre must not run.

    For ``st`` pass the capacity at the tyre's pressure less ``extra_pressure`` of
    ``st_speed_rule``. Other kinds keep their load to ``rated_speed``, their symbol.
    """
    if kind not in kinds():
        raise ValueError(f"tyre kind {kind!r} is not one of {', '.join(kinds())}")
    if kind == "st":
        return _floats(_floats(load) * st_speed_rule(speed, rated_speed).load_factor)
    top = np.inf if rated_speed is None else _floats(rated_speed) * (1 + 1e-12)
    return np.where(_floats(speed) <= top, _floats(load), 0.0)
