"""The batch of rigs: the same loads as one rig at a time, from either engine."""

import sys
import tracemalloc
from collections.abc import Iterator
from dataclasses import fields, replace

import numpy as np
import pytest
from tests.rigs import plain, values

from steelyard.estimate import Array
from steelyard.statics import Loads, loads
from steelyard.statics.batch import CHUNK, RigLoads, Rigs, batch_loads, rigs_of

COUNT = 2 * CHUNK + 300
"""Two whole chunks and a part of one."""


@pytest.fixture(scope="module")
def drawn() -> tuple[Rigs, Loads]:
    """Rigs far apart, bars from slack to tight, and their loads by the contact kernel."""
    rng = np.random.default_rng(5)
    bars = {"arm": 0.7, "tip_rate": 40e3, "preset": 0.02}
    rig = plain(axles=(4.7, 5.6), bars=bars, coupler=0.6, height=0.95)
    v = values(rig, trailer__hub_height=0.35)
    for name in (
        "vehicle.weight",
        "vehicle.wheelbase",
        "vehicle.overhang",
        "vehicle.rear.rate",
        "trailer.empty.weight",
        "trailer.axles.rate",
        "hitch.bars.tip_rate",
    ):
        v[name] = v[name] * rng.uniform(0.9, 1.1, COUNT)
    v["hitch.bars.preset"] = rng.uniform(-0.08, 0.08, COUNT)
    found = loads(rig, v)
    return rigs_of(found.balance, v["hitch.bars.preset"]), found


def _pairs(ours: RigLoads, found: Loads) -> Iterator[tuple[Array, Array]]:
    for name in ("tongue", "net", "bar_moment", "front", "rear"):
        yield getattr(ours, name), getattr(found, name)
    yield ours.trailer_axles, np.sum(found.trailer_axles, axis=0)
    for name in ("front_drop", "rear_drop", "trailer_pitch"):
        yield getattr(ours, name), getattr(found.heights, name)


def _rows(found: RigLoads) -> Array:
    return np.array([getattr(found, field.name) for field in fields(RigLoads)])


def test_batch_is_the_contact_kernel(drawn: tuple[Rigs, Loads]) -> None:
    """Levers and Castigliano give what `loads` gets from the stiffness matrix, to 1e-9."""
    rigs, found = drawn
    slack = np.mean(found.bar_moment == 0)
    assert 0.05 < slack < 0.95
    for ours, theirs in _pairs(batch_loads(rigs), found):
        assert np.max(np.abs(ours - theirs)) < 1e-9 * np.max(np.abs(theirs))


def test_numba_is_numpy(drawn: tuple[Rigs, Loads]) -> None:
    """The compiled loop and NumPy agree to 1e-12, on rigs that have no answer too."""
    pytest.importorskip("numba")
    some = np.arange(COUNT) % 100 == 0
    rigs = replace(drawn[0], trailer_moment=np.where(some, -2e5, drawn[0].trailer_moment))
    plain_rows, compiled = _rows(batch_loads(rigs)), _rows(batch_loads(rigs, engine="numba"))
    assert np.isnan(plain_rows[:, some[: plain_rows.shape[1]]]).all()
    scale = np.nanmax(np.abs(plain_rows), axis=1, keepdims=True)
    np.testing.assert_allclose(compiled / scale, plain_rows / scale, rtol=0, atol=1e-12)


def test_numbers_spread_over_the_batch(drawn: tuple[Rigs, Loads]) -> None:
    """A field of shape () counts for every rig."""
    whole = replace(drawn[0], preset=np.full(COUNT, 0.03))
    same = batch_loads(replace(whole, preset=np.asarray(0.03)))
    assert np.array_equal(_rows(same), _rows(batch_loads(whole)))


def test_no_bars_no_moment(drawn: tuple[Rigs, Loads]) -> None:
    """With a bar rate of 0 the moment is 0 and the net coupling force is the tongue weight."""
    found = batch_loads(replace(drawn[0], bar_rate=np.asarray(0.0)))
    assert not found.bar_moment.any()
    assert found.net == pytest.approx(found.tongue, rel=1e-14)


def test_an_axle_that_would_pull_is_nan(drawn: tuple[Rigs, Loads]) -> None:
    """A tongue so heavy that the front axle lifts is no one-contact case, nor one that pulls the
    rear axle off the ground: NaN, never a number."""
    heavy = replace(
        drawn[0], trailer_moment=drawn[0].trailer_moment * 0.05, preset=np.asarray(-1.0)
    )
    assert np.isnan(_rows(batch_loads(replace(heavy, overhang=np.asarray(9.0))))).all()
    light = replace(drawn[0], trailer_moment=drawn[0].trailer_moment * 1.9, preset=np.asarray(-1.0))
    assert np.isnan(_rows(batch_loads(light))).all()


def test_memory_does_not_grow(drawn: tuple[Rigs, Loads]) -> None:
    """Beyond its answer a batch of 200,000 needs no more memory than one chunk's temporaries."""
    one = {field.name: np.ravel(getattr(drawn[0], field.name))[:1] for field in fields(Rigs)}
    rigs = Rigs(**{**one, "preset": np.full(200_000, 0.02)})
    tracemalloc.start()
    answer = _bytes(batch_loads(rigs))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak - answer < 100 * 8 * CHUNK


def _bytes(found: RigLoads) -> int:
    return sum(getattr(found, field.name).nbytes for field in fields(RigLoads))


def test_numpy_imports_no_numba() -> None:
    """Importing the batch does not import Numba."""
    import subprocess

    code = "import sys, steelyard.statics.batch; sys.exit('numba' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_only_one_contact(drawn: tuple[Rigs, Loads]) -> None:
    """A slope, or springs past the three, is refused."""
    balance = drawn[1].balance
    with pytest.raises(ValueError, match="level road"):
        rigs_of(replace(balance, slope=np.full((1, 1), 0.1)), np.zeros(1))
