"""Typical vehicles against measured and published ones.

Source: government measurements of centre-of-gravity height, track and weight, model years from
2000, and one maker's 2025 specification sheets, brands withheld
(tests/data/published_vehicles.csv). Only rows held out from the fit of the typical tables are used.
A count is held to the central 98 % of Binomial(n, 0.95), by scipy.
"""

import csv
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from scipy.stats import binom

from steelyard.quantity import Z95
from steelyard.rig import Rig
from steelyard.typical import fill
from steelyard.typical.sheet import Parameter

DATA = Path(__file__).parents[1] / "data" / "published_vehicles.csv"
DRIVER = 77.0
"""kg aboard a measured vehicle (assumed)."""
Row = Mapping[str, str]


def rows() -> list[Row]:
    """The rows held out."""
    with DATA.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["role"] == "hold-out"]


def believed(row: Row, name: str, **stated: Any) -> Parameter:
    """What is believed of a vehicle of the row's class."""
    trailer = {"style": "rear-living", "gvwr": "7000 lb"}
    rig = Rig.model_validate({"vehicle": {"class": row["class"], **stated}, "trailer": trailer})
    return fill(rig).parameters[name]


def inside(one: Parameter, x: float) -> bool:
    """Whether a value lies in the parameter's 95 % interval."""
    return abs(x - one.value) <= Z95 * one.sd


def weight(row: Row) -> bool | None:
    """Weight from the class alone."""
    empty = float(row["weight_kg"]) - (DRIVER if row["driver"] == "yes" else 0.0)
    return inside(believed(row, "vehicle.weight"), empty)


def weight_from_rating(row: Row) -> bool | None:
    """Weight from the rating."""
    if not row["gvwr_kg"]:
        return None
    rated = f"{row['gvwr_kg']} kg"
    return inside(believed(row, "vehicle.weight", gvwr=rated), float(row["weight_kg"]))


def cg_height(row: Row) -> bool | None:
    """Height of the centre of gravity, driver aboard."""
    if not row["cg_height_m"]:
        return None
    return inside(believed(row, "vehicle.cg_height"), float(row["cg_height_m"]))


def track(row: Row) -> bool | None:
    """Track, the mean of both axles."""
    if not row["track_m"]:
        return None
    return inside(believed(row, "vehicle.front.track"), float(row["track_m"]))


@pytest.mark.parametrize(
    ("quantity", "least"),
    [(weight, 160), (weight_from_rating, 9), (cg_height, 150), (track, 150)],
)
def test_bands_hold_the_published_values(
    quantity: Callable[[Row], bool | None], least: int
) -> None:
    """The 95 % interval holds as many vehicles of each class as 95 % would."""
    found: dict[str, list[bool]] = {}
    for row in rows():
        held = quantity(row)
        if held is not None:
            found.setdefault(row["class"], []).append(held)
    assert sum(map(len, found.values())) >= least
    short = {
        klass: (sum(held), len(held))
        for klass, held in found.items()
        if sum(held) < binom.ppf(0.01, len(held), 0.95)
    }
    assert short == {}
