"""Tyre functions: shapes, limits, inverses and errors."""

from __future__ import annotations

import subprocess
import sys
from typing import get_args

import numpy as np
import pytest
from tests.tyre_rows import published

from steelyard.ratings import tyres
from steelyard.rig.kinds import TyreKind

PSI = 0.45359237 * 9.80665 / 0.0254**2
MPH = 0.44704


def test_load_index_keeps_shape() -> None:
    """A load index table look-up is element-wise."""
    got = tyres.load_index_mass([[75, 102], [125, 150]])
    assert got.tolist() == [[387.0, 850.0], [1650.0, 3350.0]]


@pytest.mark.parametrize("index", [59, 151, 100.5, float("nan"), [75, 59, 150]])
def test_load_index_outside_is_an_error(index: float | list[float]) -> None:
    """An index outside 60 to 150, or between two, has no mass, nor has a list with one such."""
    with pytest.raises(ValueError, match="whole number from 60 to 150"):
        tyres.load_index_mass(index)


def test_unknown_words_are_errors() -> None:
    """An unknown symbol or kind is named with what there is."""
    with pytest.raises(ValueError, match="speed symbol 'Ö'"):
        tyres.speed_symbol("Ö")
    with pytest.raises(ValueError, match="tyre kind 'pram'"):
        tyres.exponent("pram")
    with pytest.raises(ValueError, match="tyre kind 'pram'"):
        tyres.capacity_at_speed(1.0, 1.0, "pram")


def test_kinds_are_those_of_a_rig_file() -> None:
    """Every kind of tyre a rig file may name has an entry here, and no other."""
    assert set(tyres.kinds()) == set(get_args(TyreKind))


def test_capacity_is_capped_and_floored() -> None:
    """Capacity is Lmax from Pmax up, and zero at and below zero gauge pressure."""
    got = tyres.capacity(1000.0, 4e5, [-1e5, 0.0, 4e5, 8e5], 0.5)
    assert got.tolist() == [0.0, 0.0, 1000.0, 1000.0]


def test_capacity_broadcasts_over_batches() -> None:
    """Leading axes are free: a batch of pressures against a row of tyres."""
    got = tyres.capacity(np.array([900.0, 1000.0]), 4e5, np.full((5, 1), 1e5), 0.5)
    assert got.shape == (5, 2)
    assert got[0].tolist() == [450.0, 500.0]


@pytest.mark.parametrize("n", [0.5, 0.585, 0.68, 0.70, 0.8])
def test_pressure_for_inverts_capacity(n: float) -> None:
    """The pressure for a load gives that load back."""
    load = np.linspace(50.0, 1000.0, 20)
    pressure = tyres.pressure_for(load, 1000.0, 4e5, n)
    assert tyres.capacity(1000.0, 4e5, pressure, n) == pytest.approx(load, rel=1e-12)


def test_pressure_for_limits() -> None:
    """No pressure carries more than Lmax, and none asked for lies below the lowest."""
    got = tyres.pressure_for([1000.1, 10.0, -5.0], 1000.0, 4e5, 0.5, lowest=2e5)
    assert got.tolist() == [np.inf, 2e5, 2e5]


def test_table_below_first_row_is_proportional() -> None:
    """Below the first row capacity falls in proportion to pressure, down to nothing."""
    got = tyres.table_capacity([2e5, 4e5], [600.0, 900.0], [-1.0, 0.0, 1e5, 3e5, 9e5])
    assert got.tolist() == [0.0, 0.0, 300.0, 750.0, 900.0]


def test_table_inverse() -> None:
    """The pressure for a load from rows gives that load back, and is infinite above them."""
    rows = ([2e5, 4e5], [600.0, 900.0])
    assert tyres.table_pressure_for(*rows, [300.0, 750.0, 901.0]).tolist() == [1e5, 3e5, np.inf]


@pytest.mark.parametrize(
    "rows",
    [
        ([], []),
        ([1.0], [1.0, 2.0]),
        ([2.0, 1.0], [1.0, 2.0]),
        ([1.0, 2.0, 3.0], [1.0, 3.0, 2.0]),
        ([1.0, 3.0, 2.0], [1.0, 2.0, 3.0]),
        ([1.0, 2.0], [2.0, 2.0]),
        ([0.0], [1.0]),
    ],
)
def test_bad_rows_are_errors(rows: tuple[list[float], list[float]]) -> None:
    """Rows must pair up, be positive and rise."""
    with pytest.raises(ValueError, match="tyre rows"):
        tyres.table_capacity(*rows, 1.0)


def test_straight_lines_lie_below_the_power_law() -> None:
    """Between and below rows that obey L ~ P^n the table never exceeds the law."""
    p = np.array([2e5, 3e5, 4e5])
    x = np.linspace(0.0, 4e5, 201)
    rows = tyres.capacity(1000.0, 4e5, p, 0.7)
    law = tyres.capacity(1000.0, 4e5, x, 0.7)
    assert np.all(tyres.table_capacity(p, rows, x) <= law + 1e-9)


def test_st_has_no_exponent_and_takes_the_most_cautious() -> None:
    """ST tyres have rows only; without rows the largest exponent is used."""
    assert tyres.exponent("st") is None
    assert tyres.cautious_exponent("st") == max(n for n in map(tyres.exponent, tyres.kinds()) if n)
    assert tyres.cautious_exponent("lt") == 0.70


def test_cautious_exponent_never_exceeds_st_rows() -> None:
    """From the top row down, the cautious law stays under every published ST row."""
    for size in ("ST225/75R15", "ST205/75R15", "ST235/80R16", "ST175/80R13", "ST185/80R13"):
        pressures, loads = published(size)
        law = tyres.capacity(loads[-1], pressures[-1], pressures, tyres.cautious_exponent("st"))
        assert np.all(law <= loads)


def test_capacity_at_speed_by_kind() -> None:
    """ST tyres follow the ST rule; others keep their load to their symbol, then none."""
    speeds = np.array([60.0, 80.0, 90.0]) * MPH
    assert tyres.capacity_at_speed(1000.0, speeds, "st").tolist() == [1000.0, 900.0, 0.0]
    rated = tyres.speed_symbol("K")
    got = tyres.capacity_at_speed(1000.0, [rated, rated + 0.1], "lt", rated)
    assert got.tolist() == [1000.0, 0.0]
    assert tyres.capacity_at_speed(1000.0, 99.0, "lt") == 1000.0
    with pytest.raises(ValueError, match="tyre rows"):
        tyres.table_capacity([2e5, 4e5], [0.0, 900.0], 3e5)


def test_nothing_is_read_at_import() -> None:
    """Importing the tyre module opens no data file."""
    code = "from steelyard.ratings import tyres; print(tyres._data.cache_info().currsize)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "0"


def test_every_datum_has_a_source_and_a_status() -> None:
    """Each table of the tyre data names its source and whether it was read."""
    data = tyres._data()
    nested = ("exponent", "full_load_pressure")
    tables = [data[k] for k in data if k not in nested]
    for table in [*tables, *(row for k in nested for row in data[k].values())]:
        assert table["status"] in ("read", "memory")
        assert ("memory" in table["source"]) >= (table["status"] == "memory")
