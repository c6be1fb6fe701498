"""Tyre tables and rules against published rows.

V: the source was seen in a copy. M: from memory, so the test's name says so.
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.tyre_rows import published

from steelyard.ratings import tyres

pytestmark = pytest.mark.seen

LB = 0.45359237
INCH = 0.0254
PSI = LB * 9.80665 / INCH**2
MPH = 0.44704

LT_PSI, LT_LB = published("LT235/85R16")
LT_LB = LT_LB / LB


def _worst(n: float) -> float:
    law = tyres.capacity(LT_LB[-1], LT_PSI[-1], LT_PSI, n)
    return float(np.max(np.abs(law / LT_LB - 1)))


class TestLT:
    """TY-1 (V): LT235/85R16 range E, single, maker's table in a 1990 specification sheet."""

    def test_law_follows_the_rows(self) -> None:
        """TY-1 (V): 3,042 (P/80)^0.70 is within 0.72 % of all ten rows."""
        n = tyres.exponent("lt")
        assert n == 0.70
        assert _worst(n) == pytest.approx(0.0072, abs=1e-4)

    def test_free_fit_computed(self) -> None:
        """TY-1 (computed): a free fit through the rows' logarithms gives n = 0.7005."""
        x, y = np.log(LT_PSI / LT_PSI[-1]), np.log(LT_LB / LT_LB[-1])
        assert float(x @ y / (x @ x)) == pytest.approx(0.7005, abs=0.01)

    @pytest.mark.parametrize(("n", "error"), [(0.65, 0.046), (0.75, 0.037), (0.80, 0.076)])
    def test_a_wrong_exponent_costs_computed(self, n: float, error: float) -> None:
        """TY-1 (computed), trap 4: a wrong n errs by up to 7.6 % on these rows."""
        assert _worst(n) == pytest.approx(error, abs=6e-4)

    def test_rows_come_back_from_the_table(self) -> None:
        """TY-1 (V): a published row is returned exactly, and its pressure too."""
        assert tyres.table_capacity(LT_PSI, LT_LB, LT_PSI) == pytest.approx(LT_LB)
        assert tyres.table_pressure_for(LT_PSI, LT_LB, LT_LB) == pytest.approx(LT_PSI)


class TestOnTrailer:
    """REG-6 and TY-9: a passenger tyre on a trailer."""

    def test_divide_by_one_point_one(self) -> None:
        """REG-6 (V): 49 CFR 571.120 S5.1.2, 1,874 lb over 1.10 is 1,703.6 lb."""
        assert float(tyres.p_metric_on_trailer(1874.0)) == pytest.approx(1703.6, abs=0.05)

    def test_not_times_ninety_one_per_cent(self) -> None:
        """REG-6, TY-9 (V), trap 2: a distributor's 1,705 lb is 0.91 x 1,874; the rule is lower."""
        shortcut = 0.91 * 1874.0
        assert shortcut == pytest.approx(1705, abs=0.5)
        assert float(tyres.p_metric_on_trailer(1874.0)) < shortcut - 1.5

    def test_lt_against_p_on_a_trailer(self) -> None:
        """TY-9 (V): LT225/75R15 range C, 1,880 lb, beats P225/75R15 on a trailer."""
        assert float(tyres.p_metric_on_trailer(1874.0)) < 1880.0


@pytest.mark.parametrize(("kind", "n"), [("p-metric", 0.5), ("lt", 0.70), ("flotation", 0.68)])
def test_exponents(kind: str, n: float) -> None:
    """TY-6 (V through TY-1, TY-5 and a flotation chart): exponents of three kinds."""
    assert tyres.exponent(kind) == n


@pytest.mark.parametrize(
    ("kind", "n"), [("bias", 0.585), ("etrto-passenger", 0.8), ("c-type", 0.65)]
)
def test_exponents_from_memory(kind: str, n: float) -> None:
    """TY-6 (M): bias-ply and ETRTO exponents, no text seen."""
    assert tyres.exponent(kind) == n


def test_flotation_chart() -> None:
    """TY-6 (V): 31x10.50R15LT rows of a published chart are within 1.7 % of n = 0.68."""
    pressures, loads = published("31x10.50R15LT")
    n = tyres.exponent("flotation")
    assert n is not None
    law = tyres.capacity(loads[-1], pressures[-1], pressures, n)
    assert law == pytest.approx(loads, rel=0.017)


def test_no_single_exponent_of_special_trailer_tyres_computed() -> None:
    """TY-7 (computed): n is 0.635 from 50 to 65 psi and 0.52 from 65 to 80: use rows."""
    pressures, loads = published("ST225/75R15")
    n = np.diff(np.log(loads)) / np.diff(np.log(pressures))
    assert n[1:] == pytest.approx([0.635, 0.52], abs=0.005)


def test_the_misprinted_row_is_refused() -> None:
    """TY-7 (V), trap 1: a distributor's note prints 2,540 lb at 50 psi; the row is at 65."""
    pressures, loads = (rows[:2] for rows in published("ST225/75R15"))
    assert float(tyres.table_capacity(pressures, loads, 50 * PSI)) < 2200 * LB
    assert np.isinf(tyres.table_pressure_for(pressures, loads, 2540 * LB))


class TestSTSpeed:
    """TY-8 (V): Tire and Rim Association speed rule, as a tyre engineer gives it."""

    @pytest.mark.parametrize(
        ("mph", "psi", "factor"),
        [(55, 0, 1), (65, 0, 1), (66, 10, 1), (75, 10, 1), (76, 10, 0.9), (87, 10, 0.9)],
    )
    def test_bands(self, mph: float, psi: float, factor: float) -> None:
        """TY-8 (V): 65 mph as rated; 66-75 +10 psi; 76-87 +10 psi and -10 % load."""
        rule = tyres.st_speed_rule(mph * MPH)
        assert float(rule.extra_pressure) / PSI == pytest.approx(psi)
        assert float(rule.load_factor) == factor
        assert bool(rule.allowed)

    @pytest.mark.parametrize(("mph", "symbol"), [(88, None), (88, "P"), (70, "K"), (63, "J")])
    def test_never_above(self, mph: float, symbol: str | None) -> None:
        """TY-8 (V): never above 87 mph, nor above the speed symbol."""
        rated = None if symbol is None else tyres.speed_symbol(symbol)
        rule = tyres.st_speed_rule(mph * MPH, rated)
        assert not rule.allowed
        assert rule.load_factor == 0

    def test_base_speed_in_km_h(self) -> None:
        """TY-8 (V): 65 mph is 105 km/h, and the rule turns there and not at 110."""
        rule = tyres.st_speed_rule(np.array([104.0, 110.0]) / 3.6)
        assert (rule.extra_pressure > 0).tolist() == [False, True]


# TY-10, the published rows 75 to 125 (ISO 4000-1 / ETRTO), typed apart from the shipped file.
PUBLISHED = (
    "387 400 412 425 437 450 462 475 487 500 515 530 545 560 580 600 615 630 650 670 690 710 730 "
    "750 775 800 825 850 875 900 925 950 975 1000 1030 1060 1090 1120 1150 1180 1215 1250 1285 "
    "1320 1360 1400 1450 1500 1550 1600 1650"
)


class TestLoadIndex:
    """TY-10: load index to mass."""

    def test_published_rows(self) -> None:
        """TY-10 (V): indices 75 to 125, two independent copies."""
        masses = [float(m) for m in PUBLISHED.split()]
        assert tyres.load_index_mass(np.arange(75, 126)).tolist() == masses

    @pytest.mark.parametrize(
        ("index", "mass"),
        [(126, 1700), (130, 1900), (133, 2060), (136, 2240), (140, 2500), (142, 2650), (150, 3350)],
    )
    def test_rows_above_125(self, index: int, mass: float) -> None:
        """TY-10 (V): rows above 125, in a tyre maker's chart and in public copies."""
        assert float(tyres.load_index_mass(index)) == mass

    def test_rows_of_small_trailers(self) -> None:
        """TY-10 (V): rows 60 to 74, read on a trailer parts page and a tyre page. Each misprints
        one of them (265 kg at 61, 165 kg at 62) that the other has right."""
        masses = "250 257 265 272 280 290 300 307 315 325 335 345 355 365 375"
        index = np.arange(60, 75)
        assert tyres.load_index_mass(index).tolist() == [float(m) for m in masses.split()]
        assert np.all(np.abs(45 * 10 ** (index / 80) / tyres.load_index_mass(index) - 1) < 0.02)

    def test_misprinted_rows_are_not_shipped(self) -> None:
        """TY-10 (V), trap 1: charts print 478 kg at 83 and 2,190 kg at 135; most copies do not."""
        assert tyres.load_index_mass([83, 135]).tolist() == [487.0, 2180.0]

    def test_copying_guard_computed(self) -> None:
        """TY-10 (computed): 45 x 10^(LI/80) is within -0.4 % to +1.8 % of rows 75 to 125."""
        index = np.arange(75, 126)
        error = 45 * 10 ** (index / 80) / tyres.load_index_mass(index) - 1
        assert error.min() == pytest.approx(-0.004, abs=6e-4)
        assert error.max() == pytest.approx(0.018, abs=6e-4)

    def test_guard_is_not_the_value_computed(self) -> None:
        """TY-10 (computed), trap: the guard is no value; most rows differ by over 1 kg."""
        index = np.arange(75, 126)
        gap = np.abs(45 * 10 ** (index / 80) - tyres.load_index_mass(index))
        assert np.mean(gap > 1.0) > 0.5

    def test_guard_holds_above_125_computed(self) -> None:
        """TY-10 (computed): the rows added above 125 pass the same guard and rise."""
        index = np.arange(126, 151)
        error = 45 * 10 ** (index / 80) / tyres.load_index_mass(index) - 1
        assert np.all(np.abs(error) < 0.02)
        assert np.all(np.diff(tyres.load_index_mass(index)) > 0)


SYMBOLS = "N140 P150 Q160 R170 S180 T190 U200 H210 V240 W270 Y300 J100 K110 L120 M130"


@pytest.mark.parametrize("row", SYMBOLS.split())
def test_speed_symbols(row: str) -> None:
    """TY-11 (V): speed symbols in km/h on several tyre pages, J to M since seen too."""
    assert tyres.speed_symbol(row[0]) * 3.6 == pytest.approx(float(row[1:]))
