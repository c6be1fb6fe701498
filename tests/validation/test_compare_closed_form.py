"""Why two trailers differ on the ball, against moment balance by hand: exact closed forms, and the
weight-shift example of the FAA's Pilot's Handbook of Aeronautical Knowledge, chapter 10 (8,000 lb;
100 lb moved from station 30 to station 150 changes the moment by 12,000 lb in).

The handbook's numbers are read as a trailer's: stations in inches behind the ball, one axle at 100.
"""

from itertools import permutations
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from tests.rigs import plain

from steelyard import Rig, assess
from steelyard.assessment import Assessment
from steelyard.matching.compare import _kind, compare, shapley
from steelyard.quantity import POUND
from steelyard.statics.ledger import Entry

INCH = 0.0254


def test_weight_moved_aft_takes_its_moment_over_the_axle_off_the_ball() -> None:
    """12,000 lb in over an axle at 100 in: 120 lb less on the ball, all of it in the item's row."""
    empty = 7900.0 * POUND
    cg = (8000 * 77.0 - 100 * 30.0) / 7900.0 * INCH
    axle = 100 * INCH
    before, after = (
        assess(_trailer(empty, cg, axle, {"case": ("trailer", 100 * POUND, at * INCH)}), draws=16)
        for at in (30, 150)
    )
    found = compare(before, after)
    rows = {row.name: row.difference_kg / POUND for row in found.rows}
    assert rows["case"] == pytest.approx(-120.0, abs=1e-6)
    assert sum(rows.values()) == pytest.approx(found.difference_kg / POUND, abs=1e-9)
    stance = next(row for row in found.rows if row.name == "how it stands")
    assert stance.a_kg is not None  # its pitch on its springs, which no lever knows
    level = (found.tongue_a_kg - stance.a_kg) / POUND
    assert level == pytest.approx(8000 * (1 - 77 / 100), abs=1e-6)


@pytest.mark.parametrize(
    ("body", "name", "station", "kind"),
    [
        ("vehicle", "case", 1.0, "vehicle"),
        ("trailer", "fresh tank", 1.0, "tank"),
        ("trailer", "case", 1.0, "item"),
        ("trailer", "battery", 1.49, "tongue furniture"),
        ("trailer", "battery", 1.5, "trailer"),
    ],
)
def test_what_stands_ahead_of_the_box_is_on_the_tongue(
    body: str, name: str, station: float, kind: str
) -> None:
    """Of a box that begins 1.5 m behind the ball; what its owner loaded is an item or a tank."""
    at = {"trailer.box_start": np.asarray(1.5)}
    rig = SimpleNamespace(trailer=SimpleNamespace(tanks={"fresh": 0}), items={"case": 0})
    found = SimpleNamespace(rig=rig, estimate=SimpleNamespace(at_mean=lambda: at))
    entry = SimpleNamespace(body=body, name=name, station=station)
    assert _kind(cast("Assessment", found), cast("Entry", entry)) == kind


def _trailer(
    weight: float, cg: float, axle: float, items: dict[str, tuple[str, float, float]]
) -> Rig:
    return plain(weight=weight, cg=cg, axles=(axle,), items=items)


@pytest.mark.parametrize("seed", range(4))
def test_rows_sum_to_the_difference_of_two_moment_balances(seed: int) -> None:
    """T = sum of m (1 - s/s_a) of each trailer, by hand; the rows sum to the ledgers' difference
    within 1e-9 of the weight."""
    numbers = [
        (2400.0 + 90 * seed, 4.3, 4.9, 160.0, 1.2, 300.0, 6.8),
        (2900.0, 4.9 + 0.1 * seed, 5.7, 60.0, 2.0, 420.0, 7.9),
    ]
    rigs, by_hand = [], []
    for weight, cg, axle, front, front_at, rear, rear_at in numbers:
        items = {
            "box": ("trailer", front, front_at),
            "bikes": ("trailer", rear, rear_at),
        }
        rigs.append(_trailer(weight, cg, axle, items))
        masses = ((weight, cg), (front, front_at), (rear, rear_at))
        by_hand.append(sum(m * (1 - s / axle) for m, s in masses))
    a, b = (assess(rig, draws=16) for rig in rigs)
    found = compare(a, b)
    heavy = numbers[1][0]
    assert sum(row.difference_kg for row in found.rows) == pytest.approx(
        found.difference_kg, abs=1e-9 * heavy
    )
    stance = {row.name: row.difference_kg for row in found.rows}["how it stands"]
    hand = by_hand[1] - by_hand[0]
    assert found.difference_kg - stance == pytest.approx(hand, abs=1e-6 * heavy)
    sizes = [abs(row.difference_kg) for row in found.rows]
    assert sizes == sorted(sizes, reverse=True)


def test_parts_of_the_empty_trailer_are_the_mean_over_all_orders() -> None:
    """Shapley's value by its own definition: walk from one trailer to the other in each of the 24
    orders, note what each step adds, and take the mean."""
    x = {"weight": 2858.0, "box": 7.0, "start": 1.0, "axles": 0.60, "centre": 0.52}
    y = {"weight": 3311.0, "box": 8.6, "start": 1.1, "axles": 0.56, "centre": 0.49}

    def pressed(f: dict[str, float]) -> float:
        axle = f["start"] + f["axles"] * f["box"]
        cg = f["start"] + f["centre"] * f["box"]
        return f["weight"] * (1 - cg / axle)

    names = ("weight", "box", "axles", "centre")
    total = dict.fromkeys(names, 0.0)
    for order in permutations(names):
        now = dict(x)
        for name in order:
            before = pressed(now)
            now[name] = y[name]
            if name == "box":
                now["start"] = y["start"]
            total[name] += (pressed(now) - before) / 24
    found = shapley(lambda f: pressed(dict(f)), x, y)
    for name in names:
        assert found[name] == pytest.approx(total[name], rel=1e-9)
    assert sum(found.values()) == pytest.approx(pressed(y) - pressed(x), rel=1e-12)


def test_a_longer_heavier_trailer_hardly_puts_more_on_the_ball() -> None:
    """Common practice, no source: 7,300 lb dry with just under 750 lb on the ball against 6,300 lb
    dry with 700 lb. 1,000 lb of weight would bring 111 lb at 700/6,300; what stands against it is
    weight towards the rear."""
    light, heavy = (
        assess(_dry(dry, gvwr, tongue, length), draws=64)
        for dry, gvwr, tongue, length in ((6300, 7756, 700, 28.2), (7300, 9000, 748, 33.1))
    )
    found = compare(light, heavy)
    pounds = {row.name: row.difference_kg / POUND for row in found.rows}
    assert pounds["weight of the empty trailer"] == pytest.approx(1000 * 724 / 6800, rel=0.12)
    assert 0 < found.difference_kg / POUND < 75
    assert pounds["mass behind the axles"] + pounds["axle place along the box"] < -25


def _dry(dry: int, gvwr: int, tongue: int, length: float) -> Rig:
    return Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {
                "style": "rear-bunk",
                "gvwr": f"{gvwr} lb",
                "length": f"{length} ft",
                "empty": {
                    "weight": {"value": f"{dry} lb +- 20 lb", "kind": "scale"},
                    "tongue_weight": {"value": f"{tongue} lb +- 20 lb", "kind": "scale"},
                },
                "axles": {"count": 2},
            },
        }
    )
