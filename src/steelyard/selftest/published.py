"""Cases that were published, through the same functions that answer for a rig."""

from functools import cache
from importlib.resources import files
from typing import Final

import numpy as np

from steelyard.braking.stopping import distance
from steelyard.estimate import Array, Estimate, Reading, condition
from steelyard.files import parse_rig
from steelyard.quantity import FOOT, INCH, POUND, Scale
from steelyard.quantity.constants import POUND_FORCE
from steelyard.ratings import coupling
from steelyard.scene import belief_of
from steelyard.selftest.check import Check
from steelyard.statics import lever
from steelyard.statics.loads import Loads, loads
from steelyard.swaying.linear.combination import Combination
from steelyard.swaying.linear.modes import state_matrix
from steelyard.weighing.instrument import Instrument, error_model

_IDEAL: Final = Instrument.model_validate({"repeatability": "0 lb", "graduation": "20 lb"})
_SLUG: Final = POUND_FORCE / FOOT
"""kg."""


@cache
def _pickup() -> Loads:
    """The textbook's truck and trailer, read as a rig file is; hubs as high as the ball."""
    rig = parse_rig((files(__package__) / "pickup.toml").read_text("utf-8"), "pickup.toml")
    values = dict(belief_of(rig).at_mean())
    values["trailer.hub_height"] = values["hitch.ball_height"] - INCH
    return loads(rig, values)


def _wheel(axle: Array) -> float:
    """lb on one of two wheels."""
    return float(np.asarray(axle).flat[0]) / 2 / POUND_FORCE


def _ellis() -> Combination:
    numbers = {
        "m1": 186 * _SLUG, "I1": 2980 * _SLUG * FOOT**2, "a": 3.75 * FOOT, "b": 5.25 * FOOT,
        "d": 6 * FOOT, "Cf": 23250 * POUND_FORCE, "Cr": 68500 * POUND_FORCE, "m2": 620 * _SLUG,
        "I2": 35000 * _SLUG * FOOT**2, "e": 10 * FOOT,
    }  # fmt: skip
    axle = {"stations": (20 * FOOT,), "stiffness": (57500 * POUND_FORCE,)}
    return Combination(
        **{key: np.asarray(x) for key, x in numbers.items()},  # type: ignore[arg-type]
        **{key: tuple(map(np.asarray, x)) for key, x in axle.items()},  # type: ignore[arg-type]
    )


def _slowest_root() -> float:
    roots = np.linalg.eigvals(state_matrix(_ellis(), 30 * FOOT))
    return float(roots.real.max())


_FLOWS: Final = (
    46.241, 45.668, 44.575, 44.319, 0.525, 69.978, 10.364, 3.744, 4.391, 18.498, 2.092,
)  # fmt: skip
_HALVES: Final = (0.800, 0.790, 0.535, 0.532, 0.105, 0.854, 0.168, 0.058, 0.058, 0.205, 0.272)
_BALANCES: Final = (
    (1, 1, -1, -1, 0.4, 0, 0, 0, 0, 0, 0),
    (0, 0, 1, 1, -1, -1, -1, -1, -1, 0, 0),
    (0, 0, 0, 0, 0, 0, 1, 1, 1, -1, 0),
)


def _linear(count: int) -> tuple[Scale, ...]:
    return tuple("linear" for _ in range(count))


def _reconciled() -> Estimate:
    """Eleven flows measured, the first two and the next two correlated; three must balance."""
    sd = np.array(_HALVES) / 1.96
    correlation = np.eye(len(sd))
    for i, j, rho in ((0, 1, 0.2), (2, 3, 0.4)):
        correlation[i, j] = correlation[j, i] = rho
    believed = Estimate(
        names=tuple(map(str, range(len(_FLOWS)))),
        scales=_linear(len(_FLOWS)),
        mean=np.array(_FLOWS),
        cov=correlation * np.outer(sd, sd),
        constants={},
    )

    def balance(name: str, row: tuple[float, ...]) -> Reading:
        return Reading(
            name=name,
            predict=lambda v: np.sum([a * v[str(i)] for i, a in enumerate(row)], axis=0),
            value=0.0,
            sd=1e-9,
        )

    rows = [balance(f"balance {i}", row) for i, row in enumerate(_BALANCES)]
    return condition(believed, rows)


PUBLISHED: Final = (
    Check(
        name="tongue weight of a trailer as a lever",
        source="Giancoli, Physics, 7th ed., problem 9-21: 2,500 kg, 5.5 m of 8 m",
        expected=7656.0, tolerance=1.0, unit="N",
        find=lambda: lever.tongue_weight(2500 * 9.8, 2500 * 9.8 * 5.5, 8.0),
    ),
    Check(
        name="nose wheel of an aeroplane, the same lever",
        source="FAA-H-8083-1: 2,006 lb, 78 in, centre 13.2203 in ahead of the mains",
        expected=340.0, tolerance=0.01, unit="lb",
        find=lambda: lever.tongue_weight(2006, 2006 * (78 - 13.2203), 78),
    ),
    Check(
        name="trailer wheel of an elastic rig",
        source="Beer & Johnston, Statics, 6.95 (answer from memory)",
        expected=982.0, tolerance=0.5, unit="lb",
        find=lambda: _wheel(_pickup().trailer_axles[0]),
    ),
    Check(
        name="truck rear wheel of an elastic rig",
        source="Beer & Johnston, Statics, 6.95 (answer from memory)",
        expected=935.0, tolerance=0.5, unit="lb",
        find=lambda: _wheel(_pickup().rear),
    ),
    Check(
        name="truck front wheel of an elastic rig",
        source="Beer & Johnston, Statics, 6.95 (answer from memory)",
        expected=733.0, tolerance=0.5, unit="lb",
        find=lambda: _wheel(_pickup().front),
    ),
    Check(
        name="net coupling force with spring bars",
        source="Beer & Johnston, Statics, 6.96 (answer from memory)",
        expected=259.0, tolerance=0.5, unit="lb",
        find=lambda: lever.net_coupling_force(4800 / 11, 30 * 64.8649, 11),
    ),
    Check(
        name="force on the ball with spring bars",
        source="Beer & Johnston, Statics, 6.96 (answer from memory)",
        expected=1404.0, tolerance=0.5, unit="lb",
        find=lambda: lever.ball_contact(259.46, 30 * 64.8649, 1.7),
    ),
    Check(
        name="D-value of an 18 t truck and a 22 t trailer",
        source="worked example of an engineering reference to UN Regulation No. 55",
        expected=97.0, tolerance=0.5, unit="kN",
        find=lambda: float(coupling.d_value(18000.0, 22000.0)) / 1e3,
    ),
    Check(
        name="one ticket of a scale that shows steps of 20 lb",
        source="GUM 4.3.7: a rectangle of width 20 has 20/sqrt(12)",
        expected=5.774, tolerance=0.001, unit="lb",
        find=lambda: error_model("platform", "mass", _IDEAL).own / POUND,
    ),
    Check(
        name="readings reconciled: the feed of a steam circuit",
        source="VDI 2048-1, example of eleven measurements and three balances",
        expected=70.553061, tolerance=1e-6, unit="kg/s",
        find=lambda: float(_reconciled().mean[5]),
    ),
    Check(
        name="and its 95 % half-width",
        source="VDI 2048-1, the same example",
        expected=0.559873, tolerance=1e-6, unit="kg/s",
        find=lambda: float(1.96 * _reconciled().sd[5]),
    ),
    Check(
        name="slowest motion of truck and trailer at 30 ft/s",
        source="parameters and roots credited to J. R. Ellis, printed to 0.1",
        expected=-1.3, tolerance=0.1, unit="1/s",
        find=_slowest_root,
    ),
    Check(
        name="braking from 57.6 km/h with a friction of 0.35",
        source="worked answer of a civil engineering examination, g = 10 m/s2",
        expected=36.571, tolerance=0.01, unit="m",
        find=lambda: float(distance(16.0, 3.5)),
    ),
)  # fmt: skip
