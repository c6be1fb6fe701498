"""Predicted tongue weight of empty trailers against what their makers publish.

Source: manufacturers' published specifications and dealers' listings of them, brands withheld
(tests/data/published_trailers.csv). Only rows held out from the fit of the typical tables are used
here; the rows they were fitted to prove nothing. A count is held to the central 98 % of
Binomial(n, 0.95), by scipy.
"""

import csv
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import binom

from steelyard.estimate import Array, draws
from steelyard.quantity import POUND
from steelyard.rig import Rig
from steelyard.statics import lever
from steelyard.statics.linkage import group_station
from steelyard.statics.prior import BUMPER, prior

pytestmark = pytest.mark.seen

DATA = Path(__file__).parents[1] / "data" / "published_trailers.csv"
DRAWS = 4096


def rows() -> list[dict[str, str]]:
    """The rows held out."""
    with DATA.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["role"] == "hold-out"]


def published(row: dict[str, str]) -> Rig:
    """A rig of what the row states, but for its tongue weight."""
    axles: dict[str, Any] = {}
    if row["axles"]:
        axles["count"] = int(row["axles"])
    if row["axle_station_m"]:
        axles["station"] = f"{row['axle_station_m']} m"
    trailer: dict[str, Any] = {
        "style": row["style"],
        "empty": {"weight": f"{row['empty_kg']} kg +- 0 kg"},
        "axles": axles,
    }
    if row["gvwr_kg"]:
        trailer["gvwr"] = f"{row['gvwr_kg']} kg"
    if row["overall_length_m"]:
        trailer["length"] = f"{row['overall_length_m']} m"
    return Rig.model_validate({"vehicle": {"class": "three-quarter-ton"}, "trailer": trailer})


def bare_tongue(rig: Rig) -> Array:
    """Draws of the tongue weight (kg) of the trailer as its sticker means it: W (1 - s/s_a)."""
    belief = prior(rig).estimate
    v = belief.values(draws(belief, DRAWS, seed=0))
    weight = v["trailer.empty.weight"]
    moment = weight * v["trailer.empty.cg"]
    return np.asarray(lever.tongue_weight(weight, moment, group_station(rig, v)))


Band = tuple[float, float, float]
"""Low and high of the predicted 95 % band, and the published value."""


def bands() -> dict[str, list[Band]]:
    """Tongue weight over the empty weight, by style."""
    found: dict[str, list[Band]] = {}
    for row in rows():
        low, high = np.percentile(bare_tongue(published(row)), (2.5, 97.5))
        empty = float(row["empty_kg"])
        stated = float(row["empty_tongue_kg"]) / empty
        found.setdefault(row["style"], []).append((low / empty, high / empty, stated))
    return found


def short(found: dict[str, list[Band]]) -> dict[str, tuple[int, int]]:
    """Styles, and all together, of which a 95 % band holds less than it would 99 times in 100."""
    counts = {
        style: (sum(low <= x <= high for low, high, x in those), len(those))
        for style, those in found.items()
    }
    held, n = (sum(part) for part in zip(*counts.values(), strict=True))
    assert n >= 40
    counts["together"] = held, n
    return {style: (k, n) for style, (k, n) in counts.items() if k < binom.ppf(0.01, n, 0.95)}


def weights() -> dict[str, list[Band]]:
    """Empty weight over the rating, where the rating alone is stated, by style."""
    found: dict[str, list[Band]] = {}
    for row in rows():
        if not row["gvwr_kg"]:
            continue
        rated = float(row["gvwr_kg"])
        trailer = {"style": row["style"], "gvwr": f"{rated} kg"}
        rig = Rig.model_validate({"vehicle": {"class": "three-quarter-ton"}, "trailer": trailer})
        belief = prior(rig).estimate
        drawn = belief.values(draws(belief, DRAWS, seed=0))["trailer.empty.weight"]
        low, high = np.percentile(drawn, (2.5, 97.5)) / rated
        found.setdefault(row["style"], []).append((low, high, float(row["empty_kg"]) / rated))
    return found


@pytest.fixture(scope="module", name="found")
def _found() -> dict[str, list[Band]]:
    return bands()


def test_band_holds_the_published_value(found: dict[str, list[Band]]) -> None:
    """The band of tongue weight holds as many trailers of each style as 95 % would."""
    assert short(found) == {}


def test_empty_weight_from_the_rating_alone() -> None:
    """The band of empty weight from the rating alone holds as many of each style as 95 % would."""
    assert short(weights()) == {}


def lengths() -> dict[str, list[Band]]:
    """Overall length, m, from the empty weight alone, by style."""
    found: dict[str, list[Band]] = {}
    for row in rows():
        if not row["overall_length_m"]:
            continue
        weight = {"weight": f"{row['empty_kg']} kg +- 0 kg"}
        trailer = {"style": row["style"], "empty": weight}
        rig = Rig.model_validate({"vehicle": {"class": "three-quarter-ton"}, "trailer": trailer})
        belief = prior(rig).estimate
        v = belief.values(draws(belief, DRAWS, seed=0))
        overall = np.maximum(v["trailer.box_start"], 0.0) + v["trailer.box_length"] + BUMPER
        low, high = np.percentile(overall, (2.5, 97.5))
        found.setdefault(row["style"], []).append((low, high, float(row["overall_length_m"])))
    return found


def test_overall_length_from_the_weight() -> None:
    """The band of overall length holds as many of each style as 95 % would, and its middle is off
    by under a tenth in the median: light trailers are not told too short, nor heavy ones too long.
    """
    found = lengths()
    assert short(found) == {}
    off = [(low + high) / 2 / x - 1 for those in found.values() for low, high, x in those]
    assert np.median(np.abs(off)) < 0.1


def test_band_is_no_wider_than_it_must_be(
    found: dict[str, list[Band]], record_property: Any
) -> None:
    """The median band is 4 to 8 points of tongue share wide: not so wide that it holds anything."""
    width = float(np.median([high - low for those in found.values() for low, high, _ in those]))
    record_property("median_band_width", width)
    assert 0.04 < width < 0.08


def test_band_is_centred(found: dict[str, list[Band]]) -> None:
    """Published values lie on both sides of the middle, by under a quarter band on average."""
    place = [(x - low) / (high - low) for those in found.values() for low, high, x in those]
    assert np.mean(place) == pytest.approx(0.5, abs=0.25)


@pytest.mark.parametrize(
    ("dry", "gvwr", "ball", "style"),
    [
        (6300, 7756, 700, "rear-bunk"),
        (7300, 9000, 745, "rear-living"),
    ],
)
def test_common_practice_no_source(dry: float, gvwr: float, ball: float, style: str) -> None:
    """Plausibility (common practice, no source): 6,300 lb dry with 700 lb on the ball, and
    7,300 lb dry with large room behind the axles and just under 750 lb, lie in the bands."""
    trailer = {"style": style, "empty": {"weight": f"{dry} lb"}, "gvwr": f"{gvwr} lb"}
    rig = Rig.model_validate({"vehicle": {"class": "three-quarter-ton"}, "trailer": trailer})
    low, high = np.percentile(bare_tongue(rig) / POUND, (2.5, 97.5))
    assert low < ball < high
