"""What usual practice may move on a rig nobody measured, and what it may not.

The band itself is common practice, from memory. The arithmetic is held to an integral on a grid.
"""

from typing import Any

import numpy as np
import pytest

from steelyard.estimate import draws
from steelyard.quantity.constants import FOOT, POUND
from steelyard.rig import Rig
from steelyard.statics import prior
from steelyard.statics.habit import AXLES, habit, loaded_share
from steelyard.statics.lever import tongue_weight
from steelyard.statics.linkage import group_station
from steelyard.typical import usual_share


def work_trailer(
    tractor: str = "15 ft", crates: str = "6 ft", empty: Any = None, **axles: Any
) -> Rig:
    """A half-loaded enclosed trailer: a tractor behind, crates ahead, two axles."""
    return Rig.model_validate(
        {
            "vehicle": {"class": "three-quarter-ton", "weight": "6600 lb"},
            "trailer": {
                "style": "enclosed-cargo",
                "gvwr": "6300 lb",
                "empty": {"weight": "3200 lb", **(empty or {})},
                "axles": {"count": 2, "suspension": "independent", **axles},
            },
            "people": {"driver": {"seat": "driver"}},
            "places": {
                "behind": {"on": "trailer", "station": tractor, "length": "5 ft"},
                "ahead": {"on": "trailer", "station": crates, "length": "3 ft"},
            },
            "items": {
                "tractor": {"weight": "1500 lb", "place": "behind"},
                "crates": {"weight": "1100 lb", "place": "ahead"},
            },
        }
    )


def shares(rig: Rig, *, usual: bool) -> Any:
    """Draws of the loaded tongue share."""
    belief = prior(rig, habit=usual).estimate
    return loaded_share(rig, belief.values(draws(belief, 4096, seed=0)))


def test_axles_that_were_taped_stay() -> None:
    """With the axles' place stated and cargo in places of stated length there is nothing to move:
    the belief is the one without."""
    rig = work_trailer(station="13 ft")
    told = prior(rig)
    assert habit(rig, told.sheet, told.estimate) is None
    assert np.array_equal(prior(rig, habit=True).estimate.mean, told.estimate.mean)


def test_an_empty_trailer_has_no_habit() -> None:
    """Nothing aboard: how people load says nothing."""
    trailer = {"style": "enclosed-cargo", "gvwr": "6300 lb"}
    rig = Rig.model_validate({"vehicle": {"class": "van"}, "trailer": trailer})
    told = prior(rig)
    assert habit(rig, told.sheet, told.estimate) is None


def test_only_what_was_assumed_moves() -> None:
    """The assumed axles move; cargo in its stated places, weights and the vehicle don't at all."""
    rig = work_trailer()
    before, after = prior(rig).estimate, prior(rig, habit=True).estimate
    moved = np.abs(after.mean - before.mean) / np.maximum(before.sd, 1e-300)
    assert moved[before.index[AXLES]] > 0.2
    still = [
        name
        for name in before.names
        if name.startswith(("items.", "vehicle.", "people.", "trailer.empty.weight"))
    ]
    assert max(moved[before.index[name]] for name in still) < 1e-6
    at = [before.index[name] for name in still]
    assert after.sd[at] == pytest.approx(before.sd[at], rel=1e-6)


def test_a_stated_tongue_weight_stays() -> None:
    """The empty trailer's stated tongue weight is on the ball still, wherever the axles went."""
    rig = work_trailer(empty={"tongue_weight": "420 lb +- 4 lb"})
    belief = prior(rig, habit=True).estimate
    v = belief.values(draws(belief, 4096, seed=0))
    weight = v["trailer.empty.weight"]
    empty = tongue_weight(weight, weight * v["trailer.empty.cg"], group_station(rig, v))
    assert float(np.median(empty)) / POUND == pytest.approx(420, abs=6)
    assert abs(v[AXLES].mean() - prior(rig).estimate.at_mean()[AXLES]) > 0.1 * FOOT


def test_as_an_integral_would_have_it() -> None:
    """The axles' mean and sd are those of prior times band, integrated along the axles' place with
    all that follows it, within a tenth of the prior's sd."""
    rig = work_trailer()
    told = prior(rig)
    before, reading = told.estimate, habit(rig, told.sheet, told.estimate)
    assert reading is not None
    at = before.index[AXLES]
    z = before.mean[at] + before.sd[at] * np.linspace(-6, 6, 2001)
    seen = reading.predict({AXLES: np.exp(z)})
    log = -0.5 * ((z - before.mean[at]) / before.sd[at]) ** 2
    log = log - 0.5 * ((seen - reading.value) / reading.sd) ** 2
    chance = np.exp(log - log.max())
    chance /= chance.sum()
    mean = float(chance @ z)
    sd = float(chance @ (z - mean) ** 2) ** 0.5
    after = prior(rig, habit=True).estimate
    assert after.mean[at] == pytest.approx(mean, abs=0.1 * before.sd[at])
    assert after.sd[at] == pytest.approx(sd, abs=0.1 * before.sd[at])


def test_a_work_trailer_comes_nearer_to_what_is_usual() -> None:
    """Foretold without a measure: nearer to the band, no wider than before, and still wide."""
    rig = work_trailer()
    before, after = shares(rig, usual=False), shares(rig, usual=True)
    usual = usual_share(rig)
    assert abs(np.median(after) - usual.value) < abs(np.median(before) - usual.value)
    assert 0.5 * before.std() < after.std() <= before.std()


@pytest.mark.parametrize(("tractor", "crates"), [("24 ft", "21 ft"), ("6 ft", "5 ft")])
def test_bad_loading_shows_all_the_same(tractor: str, crates: str) -> None:
    """All cargo far behind or far ahead: the share stays on its side of the band in four draws of
    five, and in no more than a fifth fewer than without. (A verdict is judged without.)"""
    rig = work_trailer(tractor, crates)
    before, after = shares(rig, usual=False), shares(rig, usual=True)
    behind = np.median(before) < 0.10
    outside = [(x < 0.10 if behind else x > 0.15).mean() for x in (before, after)]
    assert outside[1] > outside[0] - 0.20
    assert outside[1] > 0.8


@pytest.mark.parametrize(
    ("style", "region", "value"),
    [
        ("enclosed-cargo", None, 0.125),
        ("boat", "north-america", 0.075),
        ("fifth-wheel", "europe", 0.20),
        ("enclosed-cargo", "australia-new-zealand", 0.10),
        ("centre-axle-caravan", "europe", 0.06),
    ],
)
def test_the_band_is_the_regions(style: str, region: str | None, value: float) -> None:
    """Common practice, from memory: the middle of what each region aims at for each coupling."""
    data: dict[str, Any] = {
        "vehicle": {"class": "half-ton-crew-cab"},
        "trailer": {"style": style, "gvwr": "3000 kg"},
    }
    rig = Rig.model_validate({**data, "region": region} if region else data)
    assert usual_share(rig).value == value
