"""Coupling formulas and rules against regulation texts.

V: the source was seen in a copy. M: from memory, so the test's name says so.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from steelyard.ratings import coupling
from steelyard.ratings.part_sizes import pairs
from steelyard.ratings.rulebook import load_rulebook
from steelyard.rig import Rig

pytestmark = pytest.mark.seen

LB = 0.45359237
LBF = LB * 9.80665
INCH = 0.0254


class TestUSRules:
    """49 CFR and NHTSA rules as the rulebook holds them."""

    book = load_rulebook("north-america")

    @pytest.mark.parametrize(
        ("name", "binds", "applies"),
        [
            ("capacity-weight", "payload", "light-vehicle"),
            ("gvwr-floor", "gvwr", "light-vehicle"),
            ("capacity-weight-ceiling", "payload", "light-vehicle"),
            ("axle-tyres", "tyre", "all"),
            ("passenger-tyre-derating", "tyre", "passenger-tyre"),
            ("st-tyres-allowed", "tyre", "st-tyre"),
            ("relabel-weight", "label", "all"),
            ("rv-cargo-label", "label", "rv-trailer"),
            ("rv-water-weight", "label", "rv-trailer"),
            ("chains-commercial", "chains", "commercial"),
            ("tracking", "coupling", "commercial"),
            ("brake-performance", "brakes", "commercial"),
        ],
    )
    def test_read_rules(self, name: str, binds: str, applies: str) -> None:
        """REG-1, 2, 3, 5, 6, 8 to 14 (V): read rules and what they bind."""
        rule = self.book.rule(name)
        assert (rule.status, rule.binds, rule.applies) == ("read", binds, applies)

    @pytest.mark.parametrize("name", ["placard-cargo", "normal-load-reserve"])
    def test_rules_from_memory(self, name: str) -> None:
        """REG-4, 7 (M): shipped as notes, never as the reason for a verdict."""
        assert not self.book.rule(name).is_read

    def test_seat_mass(self) -> None:
        """REG-1 (V): 150 lb a seat is 68 kg; it is not the 170 lb of aviation (trap 3)."""
        mass = self.book.rule("capacity-weight").value["mass"]
        assert mass == pytest.approx(68, abs=0.05)
        assert mass < 170 * LB

    def test_placard_example_from_memory(self) -> None:
        """REG-4 (M): 1,400 lb less five people of 150 lb leaves 650 lb."""
        mass = self.book.rule("capacity-weight").value["mass"]
        assert (1400 * LB - 5 * mass) / LB == pytest.approx(650)

    @pytest.mark.parametrize(("gvwr", "limit"), [(6000, 90), (10000, 100)])
    def test_relabel_computed(self, gvwr: float, limit: float) -> None:
        """REG-9 (computed from V): the lesser of 1.5 % of GVWR and 100 lb."""
        value = self.book.rule("relabel-weight").value
        assert min(value["share"] * gvwr * LB, value["mass"]) / LB == pytest.approx(limit)

    def test_st_limit(self) -> None:
        """REG-8 (V): 10,000 lb is 4,536 kg."""
        assert self.book.rule("st-tyres-allowed").value["mass"] == pytest.approx(4536, abs=0.1)

    def test_water_on_the_label(self) -> None:
        """REG-11 (V): 1 kg per litre is 8.3 lb per US gallon, and not 8.4."""
        density = self.book.rule("rv-water-weight").value["density"]
        assert density * 231 * INCH**3 / LB == pytest.approx(8.3, abs=0.05)

    def test_tracking_and_chains(self) -> None:
        """REG-12, REG-13 (V): chains together 1.0 times the gross weight; 3 in either side."""
        assert self.book.rule("chains-commercial").value["factor"] == 1.0
        assert self.book.rule("tracking").value["length"] == pytest.approx(3 * INCH)

    def test_brake_performance_computed(self) -> None:
        """REG-14 (computed from M): 14 ft/s2 is 43.5 % of gravity."""
        value = self.book.rule("brake-performance").value["deceleration"]
        assert value / 9.80665 == pytest.approx(0.435, abs=5e-4)

    def test_rating_test_shares(self) -> None:
        """J28-1, J28-2 (V): two occupants of 150 lb, 10 % on the tongue (trap 5)."""
        assert self.book.rule("tow-rating-occupants").value["count"] == 2
        assert self.book.rule("tow-rating-tongue-share").value == {"share": 0.10}
        assert self.book.rule("tow-rating-tongue-share").applies == "conventional"


class TestJ684:
    """SAE J684 as adopted in COMAR 11.13.08."""

    @pytest.mark.parametrize(
        ("pounds", "group"),
        [(500, 1), (2000, 1), (2001, 2), (3500, 2), (5000, 3), (5001, 4), (10000, 4), (10001, 0)],
    )
    def test_classes(self, pounds: float, group: int) -> None:
        """SAE-1 (V): classes to 2,000, 3,500, 5,000 and 10,000 lb; above is outside."""
        assert int(coupling.j684_class(pounds * LB)) == group

    def test_ball(self) -> None:
        """SAE-3 (V): 1-7/8 in for class 1, 2 in for classes 2 and 3; class 4 was not read."""
        ball = coupling.minimum_ball(np.array([2000, 3500, 5000, 8000]) * LB) / INCH
        assert ball[:3] == pytest.approx([1.875, 2.0, 2.0])
        assert np.isnan(ball[3])

    def test_chains(self) -> None:
        """SAE-4 (V): each chain 2,000, 3,500, 5,000 lb, and the gross weight in class 4."""
        chain = coupling.chain_strength(np.array([1500, 3000, 4000, 7000]) * LB) / LBF
        assert chain == pytest.approx([2000, 3500, 5000, 7000])

    def test_the_sellers_chain_figures_are_refused(self) -> None:
        """SAE-4 (V), trap 1: one seller prints 3,000 lb for class 1 and 7,600 for class 4."""
        chain = coupling.chain_strength(np.array([2000, 10000]) * LB) / LBF
        assert chain == pytest.approx([2000, 10000])

    def test_outside_is_unknown(self) -> None:
        """SAE-1 (V): above 10,000 lb J684 says nothing, and NaN says so."""
        assert np.isnan(coupling.chain_strength(12000 * LB))

    def test_receiver_tongue_from_memory(self) -> None:
        """SAE-7 (M): 10 % of the class limit, 200 to 1,000 lb, is a convention only."""
        rule = load_rulebook("north-america").rule("receiver-tongue")
        assert not rule.is_read
        tongue = rule.value["share"] * coupling.J684_LIMITS / LB
        assert tongue == pytest.approx([200, 350, 500, 1000])


class TestNoseweight:
    """European noseweight texts."""

    def test_floor_binds_the_rating(self) -> None:
        """EU-1 (V), trap 2: the floor binds the car's rating, not the load of an outfit."""
        rule = load_rulebook("europe").rule("noseweight-rating-floor")
        assert rule.compares.startswith("S value of the car")
        assert rule.value == {"mass": 25.0, "share": 0.04}

    def test_towing_allowance(self) -> None:
        """EU-3 (V): rear axle +15 %, then 100 km/h and 20 kPa more."""
        value = load_rulebook("europe").rule("towing-allowance").value
        assert value["share"] == 0.15
        assert value["speed"] * 3.6 == pytest.approx(100)
        assert value["pressure"] == 20e3


class TestR55:
    """UN Regulation No. 55."""

    def test_d_truck_example(self) -> None:
        """EU-5 (V): an engineering reference's example, T = 18 t, R = 22 t: D = 97 kN."""
        assert float(coupling.d_value(18000.0, 22000.0)) / 1e3 == pytest.approx(97, abs=0.5)

    @pytest.mark.parametrize(
        ("t", "r", "d"), [(2000, 1500, 8.409), (1800, 1500, 8.026), (3500, 3500, 17.168)]
    )
    def test_d_computed(self, t: float, r: float, d: float) -> None:
        """EU-5 (computed): D with the regulation's g = 9.81."""
        assert float(coupling.d_value(t, r)) / 1e3 == pytest.approx(d, abs=5e-4)

    def test_standard_gravity_is_not_used_computed(self) -> None:
        """EU-5 (computed): with 9.80665 the D of 3.5 t and 3.5 t would be 17.162 kN, not 17.168."""
        d = float(coupling.d_value(3500.0, 3500.0))
        assert d - 9.80665 * 1750 == pytest.approx(5.86, abs=0.01)

    def test_fifth_wheel(self) -> None:
        """EU-5 (V formula): without imposed load a fifth wheel's D is 0.6 of a drawbar's."""
        d = coupling.d_value(18000.0, 30000.0)
        assert float(coupling.fifth_wheel_d_value(18000.0, 30000.0, 0.0)) == pytest.approx(
            0.6 * float(d)
        )

    def test_fifth_wheel_with_its_imposed_load_computed(self) -> None:
        """EU-5 (computed): T = 4 t, R = 8 t, U = 1.6 t: 0.6 x 9.81 x 32/10.4 = 18.11 kN."""
        d = float(coupling.fifth_wheel_d_value(4000.0, 8000.0, 1600.0))
        assert d / 1e3 == pytest.approx(18.111, abs=5e-4)

    def test_ball_class_from_memory(self) -> None:
        """EU-7 (M): A50-1 is good for 17 kN and 120 kg, so not quite for 3.5 t behind 3.5 t."""
        rule = load_rulebook("europe").rule("ball-a50-1")
        assert not rule.is_read
        assert rule.value == {"force": 17e3, "mass": 120.0}
        assert float(coupling.d_value(3500.0, 3500.0)) > rule.value["force"]

    def test_worn_ball(self) -> None:
        """EU-8 (V): Regulation 44/2014 tests the coupling head on a ball of 49 mm."""
        rule = load_rulebook("europe").rule("coupling-head-wear")
        assert rule.is_read
        assert rule.value["length"] == pytest.approx(0.049)


class TestBands:
    """Tongue bands by region."""

    @pytest.mark.parametrize(
        ("trailer", "low", "high"),
        [("conventional", 0.10, 0.15), ("boat", 0.05, 0.10), ("fifth-wheel", 0.15, 0.25)],
    )
    def test_north_america(self, trailer: str, low: float, high: float) -> None:
        """Owner's manuals (V, brands withheld): 10-15 %, boats 5-10 %, fifth wheel 15-25 %."""
        band = load_rulebook("north-america").band(trailer)
        assert band.is_read
        assert (band.value["low"], band.value["high"]) == (low, high)

    def test_europe_caravan(self) -> None:
        """National Caravan Council guide p. 11 (V): 5 to 7 % of the actual laden weight."""
        band = load_rulebook("europe").band("centre-axle")
        assert band.is_read
        assert (band.value["low"], band.value["high"]) == (0.05, 0.07)

    def test_australia_from_memory(self) -> None:
        """Common practice (M): about 10 %; no government text with a share was found."""
        band = load_rulebook("australia-new-zealand").band("conventional")
        assert not band.is_read
        assert band.value["low"] < 0.10 < band.value["high"]

    def test_new_zealand_chains(self) -> None:
        """NZ Transport Agency 8-1, 28 March 2024 (V): two crossed chains of twice the weight."""
        rule = load_rulebook("australia-new-zealand").rule("nz-chains-crossed")
        assert rule.is_read
        assert (rule.value["count"], rule.value["factor"]) == (2, 2.0)


HOLD = ("2 in", "2 in", "16 mm", "16 mm", "50 mm", "50 mm")


@pytest.mark.parametrize(
    ("place", "size", "fits", "which"),
    [
        (1, "1.876 in", True, ""),  # 1/8 in of play (assumed, sizes.toml)
        (1, "1.874 in", False, "large"),
        (1, "2.001 in", False, "small"),
        (3, "16.9 mm", True, ""),  # 1 mm between pins (assumed)
        (3, "17.1 mm", False, "small"),
        (3, "15.1 mm", True, ""),
        (3, "14.9 mm", False, "large"),
        (5, "50.39 mm", True, ""),  # half of the 0.8 mm between 50 mm and 2 in
        (5, "50.41 mm", False, "small"),
        (5, "49.61 mm", True, ""),
        (5, "49.59 mm", False, "large"),
    ],
)
def test_two_sizes_fit_within_their_play(place: int, size: str, which: str, *, fits: bool) -> None:
    """Both sides of each play that docs/method.md states: bar in tube, pin in hole, ball in
    coupler; too small a first size is told apart from too large a one."""
    sizes = list(HOLD)
    sizes[place] = size
    opening, bar, hole, pin, ball, coupler = sizes
    hitch = {
        "receiver": {"opening": opening, "pin": hole},
        "ball_mount": {"shank": bar, "pin": pin},
        "ball": {"size": ball},
        "coupler": {"size": coupler},
    }
    found = pairs(_coupled(hitch), "north-america")
    assert len(found) == 3
    wrong = [pair for pair in found if pair.verdict != "within"]
    assert [pair is found[place // 2] for pair in wrong] == [True] * (not fits)
    for pair in found:
        assert pair.why == (getattr(pair, which) if pair in wrong else "")


@pytest.mark.parametrize(
    ("region", "hitch", "titles"),
    [
        ("north-america", {}, 3),
        ("europe", {}, 1),
        ("europe", {"reducers": {"sleeve": {}}}, 5),
        ("europe", {"receiver": {"opening": "2 in"}}, 3),
        ("europe", {"receiver": {"height": "0.4 m"}}, 3),
        ("europe", {"ball_mount": {"shank": "2 in"}}, 3),
        ("europe", {"ball_mount": {"drop": "2 in"}}, 3),
        ("europe", {"receiver": {"pin": "16 mm"}}, 1),
        ("north-america", {"kind": "fifth-wheel"}, 1),
    ],
)
def test_tubes_are_asked_about_where_there_are_any(
    region: str, hitch: dict[str, Any], titles: int
) -> None:
    """In North America, and wherever the file speaks of a receiver's tube; a pin has none. Each
    part that goes in has a bar and a pin; the ball is one pair more, asked about unless on a pin
    or a hook."""
    found = pairs(_coupled(hitch), region)
    assert len(found) == titles
    assert found[-1].asked is ("kind" not in hitch)


def _coupled(hitch: dict[str, Any]) -> Rig:
    style = hitch.get("kind", "open-utility")
    vehicle = {"class": "half-ton-crew-cab"}
    trailer = {"style": style, "gvwr": "2000 lb" if style == "open-utility" else "9000 lb"}
    return Rig.model_validate({"vehicle": vehicle, "hitch": hitch, "trailer": trailer})
