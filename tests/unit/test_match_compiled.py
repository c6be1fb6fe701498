"""The compiled pass of a match gives the numbers of the general path."""

import pickle
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from steelyard import Rig
from steelyard.matching import passes
from steelyard.matching.beliefs import Side, coupling_of, tow_sides, towed_sides
from steelyard.matching.block_answers import Block, drawn
from steelyard.matching.candidates import Tow, Towed, tow_of, towed_of
from steelyard.matching.match import SEEDS, _blocks, _passed
from steelyard.matching.pair_limits import Room
from steelyard.matching.pair_rows import DRAWS, ROWS
from steelyard.matching.passes import Pass
from steelyard.statics.compiled_caches import drop_unlike

pytest.importorskip("numba")
compiled = pytest.importorskip("steelyard.matching.compiled")

TIGHT = 0.025
TRAILER = {"style": "rear-living", "gvwr": "7000 lb", "brakes": True}
HITCHES: dict[str, dict[str, Any]] = {
    "no bars": {"ball": {"rating_trailer": "12000 lb"}},
    "bars that give back a share": {"bars": {"rating": "1000 lb", "restoration": "60 %"}},
    "bars of unsaid rating": {"bars": {}},
    "bars with a preset": {"bars": {"rating": "800 lb", "preset": "2 deg"}},
    "heights by tape": {"ball_height": "23 in", "bars": {"rating": "800 lb"}},
}
TRAILERS: dict[str, dict[str, Any]] = {
    "one axle": {"axles": {"count": 1, "gawr": "6000 lb"}},
    "an equaliser": {"axles": {"count": 2, "suspension": "equaliser", "gawr": "3500 lb"}},
    "independent axles": {"axles": {"count": 2, "suspension": "independent"}, "gtm": "6300 lb"},
    "three axles": {"axles": {"count": 3, "suspension": "equaliser"}},
    "three independent axles": {"axles": {"count": 3, "suspension": "independent"}},
    "a coupler by tape": {"coupler_height": "20 in", "axles": {"count": 2}},
    "tyres and wheels": {
        "axles": {
            "count": 2,
            "tyres": {
                "kind": "st",
                "load_index": 113,
                "max_pressure": "65 psi",
                "pressure": "60 psi",
                "wheel_rating": "1900 lb",
            },
        }
    },
}


def _tows(hitch: dict[str, Any]) -> list[Tow]:
    rigs = [
        {
            "vehicle": {
                "class": "half-ton-crew-cab",
                "gvwr": f"{7000 + 40 * k} lb",
                "payload": f"{1500 + 60 * k} lb",
                "front": {"gawr": "3900 lb"},
                "rear": {"gawr": f"{4000 + 30 * k} lb"},
                "max_trailer_ratio": 1.2,
            },
            "hitch": hitch,
            "trailer": TRAILER,
        }
        for k in range(3)
    ]
    return [tow_of(Rig.model_validate(rig), f"vehicle {k}") for k, rig in enumerate(rigs)]


def _toweds(own: dict[str, Any], **more: Any) -> list[Towed]:
    found = []
    for k in range(4):
        empty = {"weight": f"{4300 + 250 * k} lb", "tongue_weight": f"{480 + 60 * k} lb"}
        trailer = {**TRAILER, "gvwr": f"{6500 + 300 * k} lb", "empty": empty, **own, **more}
        data = {"vehicle": {"class": "half-ton-crew-cab"}, "trailer": trailer}
        found.append(towed_of(Rig.model_validate(data), f"trailer {k}"))
    return found


def _passes(tows: list[Tow], toweds: list[Towed]) -> list[Pass]:
    return [
        Pass(tow=drawn(one, DRAWS, SEEDS[0]), towed=drawn(two, DRAWS, SEEDS[1]), n=DRAWS)
        for one in tow_sides(tows, coupling_of(toweds[0]))
        for two in towed_sides(toweds)
    ]


def _whole(blocks: list[Block]) -> dict[str, Any]:
    """Every array of some blocks, pairs in one order."""
    order = np.lexsort(
        [np.concatenate([getattr(x, end) for x in blocks]) for end in ("towed", "tow")]
    )
    found = {}
    for one in fields(Block):
        parts = [getattr(block, one.name) for block in blocks]
        if isinstance(parts[0], Room):
            parts = [np.vstack([part.kg, part.by]) for part in parts]
        if isinstance(parts[0], np.ndarray):
            found[one.name] = np.concatenate(parts, axis=-1)[..., order]
    return found


def _alike(one: Side, two: Side) -> None:
    plain = _whole(list(_blocks(one, two, DRAWS, TIGHT, None)))
    quick = _whole(list(_passed(one, two, DRAWS, TIGHT, None)))
    scale = {"sd": "value", "margin": "value", "cargo": "trailer_kg", "gear": "trailer_kg"}
    for name, due in plain.items():
        if due.dtype != float:
            assert np.array_equal(quick[name], due), name
            continue
        known = np.abs(np.nan_to_num(plain[scale.get(name, name)], posinf=0.0, neginf=0.0))
        size = float(np.max(known, initial=1.0))
        assert np.allclose(quick[name], due, rtol=1e-11, atol=1e-11 * size, equal_nan=True), name


@pytest.mark.parametrize("hitch", HITCHES.values(), ids=HITCHES)
@pytest.mark.parametrize("own", TRAILERS.values(), ids=TRAILERS)
def test_every_shape_is_answered_the_same(hitch: dict[str, Any], own: dict[str, Any]) -> None:
    """All numbers of every pair to 1e-11, and every verdict, by the pass itself."""
    for both in _passes(_tows(hitch), _toweds(own)):
        rows = both.rows()
        assert rows is not None
        assert set(rows.factor) == {1.0}  # to the last digit: parts hang on no worker's first pair
        _alike(both.tow.side, both.towed.side)


def test_a_fifth_wheel_is_answered_the_same() -> None:
    """A pin in the bed ahead of the rear axle, without bars."""
    style = {"style": "fifth-wheel", "axles": {"count": 2}}
    for both in _passes(_tows({"kind": "fifth-wheel"}), _toweds(style)):
        assert both.rows() is not None
        _alike(both.tow.side, both.towed.side)


def test_what_lifts_a_wheel_takes_the_general_path() -> None:
    """Trailers far too heavy for the vehicle lift its front wheels in some draws: same numbers, and
    the lighter ones beside them by the pass."""
    tongues = [f"{lb} lb" for lb in (8200, 7300, 3700, 3500, 3300, 2800)]
    heavy = [{"empty": {"weight": "14000 lb", "tongue_weight": one}} for one in tongues]
    toweds = [_toweds({}, gvwr="22000 lb", **one)[0] for one in heavy]
    lifted = []
    for both in _passes(_tows(HITCHES["no bars"])[:1], toweds):
        members = np.arange(len(both.towed.side.members))
        every = np.ones(len(ROWS), dtype=bool)
        lifted += list(both.over(np.zeros_like(members), members, every)[3] > 0)
        assert both.rows() is not None
        _alike(both.tow.side, both.towed.side)
    assert any(lifted)
    assert not all(lifted)


def test_what_was_compiled_of_other_sources_goes(tmp_path: Path) -> None:
    """A formula that changed in a file beside the caller's, which Numba does not look at (its notes
    on caching), or moved; nothing goes where all sources are as they were."""
    formula, kept = tmp_path / "statics" / "lever.py", tmp_path / "matching" / "__pycache__"
    formula.parent.mkdir()
    kept.mkdir(parents=True)
    formula.write_text("a = 1")
    names = kept / "one.nbi", kept / "one.1.nbc", kept / "one.pyc"

    def left() -> list[bool]:
        for name in names:
            name.touch()
        drop_unlike(tmp_path)
        return [name.exists() for name in names]

    assert left() == [False, False, True]
    assert left() == [True, True, True]
    formula.write_text("a = 2")
    assert left() == [False, False, True]
    formula.rename(formula.with_name("moved.py"))
    assert left() == [False, False, True]


@pytest.mark.parametrize("error", [ModuleNotFoundError, EOFError, pickle.UnpicklingError])
def test_a_stale_cache_on_disk_is_no_error(
    monkeypatch: pytest.MonkeyPatch, error: type[Exception]
) -> None:
    """What was compiled of modules that have moved since, or was half written, cannot be loaded
    again: the general path answers, and no number is another."""
    (both,) = _passes(_tows(HITCHES["no bars"]), _toweds(TRAILERS["one axle"]))
    due = _whole(list(_blocks(both.tow.side, both.towed.side, DRAWS, TIGHT, None)))

    def stale(*_: Any, **__: Any) -> None:
        raise error("steelyard.matching.gone")

    passes._FOUND.clear()
    monkeypatch.setattr(compiled, "pass_over", stale)
    found = _whole(list(_passed(both.tow.side, both.towed.side, DRAWS, TIGHT, None)))
    passes._FOUND.clear()
    for name, x in due.items():
        assert np.array_equal(found[name], x, equal_nan=x.dtype == float), name
