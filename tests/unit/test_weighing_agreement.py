"""Two questions of one ticket: do its readings agree with each other, and with the rig file?

Truths are the best estimate of a rig with so much cargo more that nobody listed; readings are what
the scales would show of it, to the last pound.
"""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from scipy.stats import kstest, multivariate_normal, norm
from tests import eight, weighings
from tests.weighings import platform

from steelyard.estimate import Array
from steelyard.fault import Fault
from steelyard.quantity import POUND
from steelyard.weighing.agreement import Agreement
from steelyard.weighing.excess import excesses, given
from steelyard.weighing.laid_ticket import Weighed
from steelyard.weighing.mistakes import Slip, doubted
from steelyard.weighing.reconcile import Judged, Reconciled, judge
from steelyard.weighing.tested import far, suspicion
from steelyard.words.weighed import agreement, file_line, off_by, suspect_lines


def heavier(
    pounds: float, place: float = 0.5, body: str = "trailer", data: Any = None
) -> Reconciled:
    """The box taken apart, with so much more in it, or in the vehicle, than the file lists."""
    laid = eight.laid("box", "parts", data)
    v = dict(laid.prior.at_mean())
    v[f"{body}.unlisted"] = np.asarray(pounds * POUND)
    v["trailer.unlisted_place"] = np.asarray(place)
    other = "vehicle" if body == "trailer" else "trailer"
    v[f"{other}.unlisted"] = np.zeros(())
    return judge(weighings.reading(laid, weighings.shown(laid, v)[:, 0]))


@pytest.mark.parametrize("place", [0.1, 0.5, 0.9])
@pytest.mark.parametrize("pounds", [300, 600, 1000])
def test_cargo_that_nobody_listed(pounds: float, place: float) -> None:
    """Wherever it rides: the readings agree, none of them is wrong, and the trailer is that much
    heavier than listed, to some 20 lb."""
    found = heavier(pounds, place)
    assert found.agrees
    assert found.suspect is None
    one = next(one for one in excesses(found) if one.body == "trailer")
    assert one.kg / POUND == pytest.approx(pounds, abs=15)
    assert 1.96 * one.sd_kg / POUND < 35
    told = agreement(found, "us")
    assert "The readings agree with each other. " in told
    assert "lb heavier than the file lists: what is missing?" in told


@pytest.mark.parametrize(
    ("own", "told"),
    [
        ({"weight": "6600 lb"}, [500]),
        ({"front": {"weight": "3700 lb"}, "rear": {"weight": "2900 lb"}}, [500]),
        ({"front": {"weight": "3700 lb"}}, []),
    ],
)
def test_cargo_that_nobody_listed_in_the_vehicle(own: dict[str, Any], told: list[float]) -> None:
    """The vehicle is said to be that much heavier, where its weight or both its axles are stated,
    not where one axle is."""
    data = {**eight.BOX, "vehicle": {"class": "three-quarter-ton", **own}}
    found = excesses(heavier(500, body="vehicle", data=data))
    kg = [one.kg for one in found if one.body == "vehicle"]
    assert [one / POUND for one in kg] == pytest.approx(told, abs=15)


def test_what_is_not_aboard() -> None:
    """A trailer without one of the things it lists is said to be lighter."""
    laid = eight.laid("box", "parts")
    v = dict(laid.prior.at_mean())
    v["items.tractor.weight"] = np.asarray(1e-3)
    found = judge(weighings.reading(laid, weighings.shown(laid, v)[:, 0]))
    assert found.agrees
    assert not found.file.holds
    lighter = "lb lighter than the file lists: what is not aboard, or lighter?"
    assert lighter in agreement(found, "us")
    one = next(one for one in given(found) if one.name == "items.tractor.weight")
    assert one.after < one.before
    was, now = (f"{kg / POUND:,.0f} lb" for kg in (one.before, one.after))
    assert f", {was} before, {now} now" in str(file_line(found, "us"))


def test_nothing_to_say() -> None:
    """A rig as listed is neither heavier nor lighter, and both questions are answered yes."""
    found = heavier(20)
    assert found.sound
    assert excesses(found) == ()
    assert "agree with each other and the rig file" in agreement(found, "us")


def test_a_body_whose_weight_nobody_stated() -> None:
    """Heavier than is typical is not heavier than listed."""
    laid = eight.laid("bare", "parts")
    v = dict(laid.prior.at_mean())
    v["trailer.unlisted"] = np.asarray(600 * POUND)
    found = judge(weighings.reading(laid, weighings.shown(laid, v)[:, 0]))
    assert "trailer" not in {one.body for one in excesses(found)}


def test_the_geometry_of_the_file() -> None:
    """Readings of a truck whose ball is two feet nearer than is usual agree with each other, not
    with the file, and it is the overhang that gives way."""
    laid = eight.laid("box", "parts")
    v = dict(laid.prior.at_mean())
    v["vehicle.overhang"] = v["vehicle.overhang"] - 0.6
    found = judge(weighings.reading(laid, weighings.shown(laid, v)[:, 0]))
    assert found.agrees
    assert not found.file.holds
    assert given(found)[0].name == "vehicle.overhang"


def test_what_gives_way_by_its_own_spread_is_named() -> None:
    """A value that moved by more than one of its own standard deviations, and none by less
    (assumed)."""
    found = heavier(1000)
    before = found.weighed.prior
    moved = np.zeros(len(before.names))
    names = ["vehicle.overhang", "vehicle.wheelbase"]
    moved[[before.index[name] for name in names]] = [1.05, -0.95]
    there = replace(before, mean=before.mean + moved * before.sd)
    told = given(replace(found, full=there, slips=(), file=Agreement(chi_square=99.0, degrees=1)))
    assert [one.name for one in told] == names[:1]


def test_a_misread_axle() -> None:
    """Of axles and whole weighed together one is 200 lb off: not with each other."""
    pads = [*eight.PADS, platform("all")]
    laid = weighings.lay_of("boat", {"off": {"bars": "off", "readings": pads}})
    kg = weighings.shown(laid, laid.prior.at_mean())[:, 0]
    kg[1] += 200 * POUND
    found = judge(weighings.reading(laid, kg))
    assert not found.agrees
    assert "do not agree with each other" in agreement(found, "us")


def test_one_reading_has_nothing_beside_it() -> None:
    """One weight cannot be held against another; that is said, and no chance of it."""
    laid = weighings.lay_of("boat", {"off": {"bars": "off", "readings": [platform("trailer")]}})
    v = {**laid.prior.at_mean(), "trailer.unlisted": np.zeros(())}
    found = judge(weighings.reading(laid, weighings.shown(laid, v)[:, 0]))
    assert (found.among.degrees, found.among.chance, found.agrees) == (0, 1.0, True)
    assert "has no other to be held against" in agreement(found, "us")


def test_how_much_likelier_one_is_wrong_is_bayes_rule() -> None:
    """By SciPy's multivariate normal: a reading that is wrong errs by six times what all else
    leaves it besides, and the file is as wide as it says or wider, with the chances assumed."""
    off, file = (
        np.array([3.0, -1.0, 0.5]),
        np.array([[4.0, 1.0, 0.5], [1.0, 3.0, 0.2], [0.5, 0.2, 1.0]]),
    )
    noise, none, wrong = np.diag([1.0, 0.5, 0.25]), [], []
    for times, chance in ((1.0, 0.6), (1.5, 0.25), (2.2, 0.1), (3.2, 0.05)):
        spread = times**2 * file + noise
        none.append(chance * multivariate_normal(np.zeros(3), spread).pdf(off))
        left = 1.0 / np.diag(np.linalg.inv(spread))
        besides = [np.diag(36.0 * left * (np.arange(3) == i)) for i in range(3)]
        wrong.append(
            [chance * multivariate_normal(np.zeros(3), spread + more).pdf(off) for more in besides]
        )
    due = np.log(np.sum(wrong, axis=0) / np.sum(none) / 3)
    assert suspicion(off, file, noise) == pytest.approx(due, rel=1e-9)


@pytest.mark.parametrize("readings", [1, 4, 10])
def test_how_far_off_is_named_is_where_the_odds_turn(readings: int) -> None:
    """Of so many readings one so far off is 1.1 times likelier wrong than none is: the ratio of
    SciPy's normals of sd sqrt(1 + 6^2) and 1."""
    odds = norm.pdf(far(readings), scale=37**0.5) / norm.pdf(far(readings)) / readings
    assert odds == pytest.approx(1.1, rel=1e-9)


def test_agreement_is_as_birge_has_it() -> None:
    """Errors look the root of chi-square over its degrees too small, never too large; with nothing
    to hold against nothing clashes. Of one degree 6.6349 is the 1 in 100 of printed tables."""
    assert [Agreement(chi_square=x, degrees=4).ratio for x in (36.0, 1.0)] == [3.0, 1.0]
    assert Agreement(chi_square=0.0, degrees=0).ratio == 1.0
    assert [Agreement(chi_square=x, degrees=1).holds for x in (6.634, 6.636)] == [True, False]


def test_a_slip_leaves_what_it_moved_three_times_as_wide() -> None:
    """By Pythagoras: 3 and 4 kg of two slips are 5, three times that beside its own 8 kg is 17."""
    laid = weighings.lay_of("boat", {"off": {"bars": "off", "readings": eight.PADS}})
    laid = replace(laid, readings=tuple(replace(one, sd=8.0) for one in laid.readings))
    read = np.array([one.value for one in laid.readings])
    slips = tuple(
        Slip(right=read + np.array([0.0, kg, 0.0]), fault=Fault(due="", found=""))
        for kg in (3.0, -4.0)
    )
    assert [one.sd for one in doubted(laid, slips).readings] == pytest.approx([8.0, 17.0, 8.0])


@pytest.mark.parametrize("kind", ["pads", "parts"])
def test_both_parts_are_chi_squares(kind: str) -> None:
    """With truths drawn from the file and scales that err as stated the chance of either part is
    uniform (Kolmogorov-Smirnov, p > 0.01), and their degrees are all readings."""
    chances = []
    for name in ("camper", "cargo"):
        laid = eight.laid(name, kind)
        _, seen = weighings.truths(laid, 60, seed=31)
        for numbers in seen.T[np.isfinite(seen).all(axis=0)]:
            found = judge(weighings.reading(laid, numbers))
            assert found.among.degrees + found.file.degrees == len(numbers)
            chances.append((found.among.chance, found.file.chance))
    for part in np.array(chances).T:
        assert kstest(part, "uniform").pvalue > 0.01


class TestStep:
    """A step that two passes share is in the belief as a weight of its own."""

    @staticmethod
    def _found(pounds: float) -> tuple[Weighed, Array, Reconciled]:
        """The camper weighed with bars off and on, with somebody on its tailgate in the latter."""
        laid = weighings.lay_of("camper", _OFF_AND_ON)
        kg = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        kg[4] += pounds * POUND
        return laid, kg, judge(weighings.reading(laid, kg))

    def test_not_smeared(self) -> None:
        """With 80 lb on one pass's rear axle nothing but that pass's own weight moves by a quarter
        of its sd, and totals are known to the step and no better."""
        laid, kg, found = self._found(80)
        kg[4] -= 80 * POUND
        right = judge(weighings.reading(laid, kg))
        names = [name for name in right.full.names if name in found.full.index]
        at, of = ([one.full.index[name] for name in names] for one in (found, right))
        moved = np.abs(found.full.mean[at] - right.full.mean[of]) / laid.prior.sd
        assert moved.max() < 0.25
        step = found.full.at_mean()
        apart = step["ticket.step.on"] - step["ticket.step.off"]
        assert float(apart) / POUND == pytest.approx(80, abs=20)
        assert found.full.sd[found.full.index["ticket.step.on"]] / POUND > 20

    def test_no_step_no_weight(self) -> None:
        """Passes as near as the scale can tell add no parameter."""
        _, _, found = self._found(0)
        assert not any(name.startswith("ticket.step") for name in found.full.names)


_OFF_AND_ON: dict[str, Any] = {
    "off": {"bars": "off", "stage": "leave", "readings": eight.PADS},
    "on": {"bars": "on", "stage": "leave", "readings": eight.PADS},
}


@pytest.mark.parametrize(
    ("dimension", "error", "way"),
    [
        ("mass", 120.0, "120 kg ± 20 kg too high"),
        ("mass", -120.0, "120 kg ± 20 kg too low"),
        ("length", 0.12, "120 mm ± 20 mm too high"),
        ("length", -0.12, "120 mm ± 20 mm too low"),
    ],
)
def test_a_suspect_is_told_by_how_much_it_is_off(dimension: str, error: float, way: str) -> None:
    """With 1.96 of the sd of its error, and which others might be it instead."""
    sd = abs(error) / 120 * 10.2
    one = SimpleNamespace(name="front axle", dimension=dimension, error=error, error_sd=sd)
    one.own_sd = sd / 2
    one.standardised, one.alike = error / sd, ()
    (told,) = suspect_lines(cast("Judged", one), "metric")
    assert f"“front axle”. By all else that is known it is {way} (11.8 sd)." in told
    found = SimpleNamespace(slips=(), suspect=one)
    far = off_by(cast("Judged", one), cast("Reconciled", found))
    assert far.endswith(f"does not belong: 11.8 sd {'high' if error > 0 else 'low'}")
    one.alike = ("rear axle",)
    assert "“rear axle” would look the same" in suspect_lines(cast("Judged", one), "metric")[1]
