"""Matching: 10,000 pairs against the bare batched kernels on the same columns, in the same run."""

from collections.abc import Iterator
from time import perf_counter, process_time

import numpy as np
from table import Row

from steelyard import Rig, assess
from steelyard.matching.beliefs import of_pair, tow_sides, towed_sides
from steelyard.matching.block_answers import COLUMNS, _values, _with_ratings, drawn
from steelyard.matching.candidates import Tow, Towed, tow_of, towed_of
from steelyard.matching.match import _blocks, _passed, match
from steelyard.matching.pair_limits import FIRST
from steelyard.matching.pair_rows import DRAWS
from steelyard.matching.pairing import paired
from steelyard.ratings import TIGHT, checks, questions
from steelyard.scene import Scene
from steelyard.swaying.linear.closed_forms import critical_speeds
from steelyard.swaying.linear.combination import taken
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.stage_sway import SPEED
from steelyard.travel import plan_stages

SIDE = 100
STYLES = ("rear-living", "rear-bunk", "front-living")


def rows() -> Iterator[Row]:
    """100 vehicles x 100 trailers, one vehicle x 10,000 trailers, and what a pair costs alone.

    One thread: on an idle machine the seconds on the clock are the processor's, by which it is met.
    """
    bare = _bare()
    match(
        [_tow(n) for n in range(SIDE)], [_towed(n) for n in range(SIDE)]
    )  # loads what is compiled
    for name, tows, toweds, most in (
        ("match, 100 x 100", SIDE, SIDE, 0.2),
        ("match, 1 x 10,000", 1, SIDE * SIDE, 0.6),
    ):
        pair = [_tow(number) for number in range(tows)], [_towed(n) for n in range(toweds)]
        wall, work = perf_counter(), process_time()
        found = match(*pair)
        wall, work = perf_counter() - wall, process_time() - work
        assert len(found) == tows * toweds
        yield Row(
            name=f"{name}: {len(found):,} pairs, three loadings, {DRAWS} draws",
            measured=f"{wall:.1f} s, {work:.1f} s of processor",
            ratio=f"{work / bare:.2f} x",
            baseline=f"statics, limits and sway of the same columns bare, {bare:.1f} s",
            target=f"{most} x",
            met=work < most * bare,
        )
    yield _one_by_one(found.tows[0], found.toweds[0], work / len(found))
    yield _compiled()


def _compiled() -> Row:
    """The compiled pass against the general path, on two groups of alike members."""
    one = tow_sides([_tow(n) for n in range(SIDE)], "ball")[0]
    two = max(towed_sides([_towed(3 * n) for n in range(SIDE)]), key=lambda side: len(side.members))
    work = []
    for way in (_passed, _blocks, _passed):
        start = process_time()
        count = sum(len(block.tow) for block in way(one, two, DRAWS, TIGHT, None))
        work.append((process_time() - start) / count)
    return Row(
        name=f"match, a pair by the compiled pass, {count:,} pairs",
        measured=f"{1e6 * work[2]:.0f} us, {1 / work[2]:,.0f} a second a core",
        ratio=f"{work[1] / work[2]:.1f} x faster",
        baseline=f"block(), {1e6 * work[1]:.0f} us",
        target="10 x",
        met=work[1] >= 10 * work[2],
    )


def _tow(number: int) -> Tow:
    rig = {
        "vehicle": {
            "class": "half-ton-crew-cab",
            "gvwr": f"{7000 + number} lb",
            "payload": f"{1700 + number} lb",
            "gcwr": "15000 lb",
            "tow_rating": f"{9000 + 10 * number} lb",
        },
        "hitch": {"bars": {"rating": "1000 lb"}},
        "trailer": {"style": "rear-living", "gvwr": "7000 lb"},
    }
    return tow_of(Rig.model_validate(rig), f"vehicle {number}")


def _towed(number: int) -> Towed:
    rig = {
        "vehicle": {"class": "half-ton-crew-cab"},
        "trailer": {
            "style": STYLES[number % 3],
            "gvwr": f"{6000 + number % 1500} lb",
            "empty": {
                "weight": f"{4500 + number % 800} lb",
                "tongue_weight": f"{520 + number % 90} lb",
            },
            "length": f"{22 + number % 9} ft",
            "axles": {"count": 2, "gawr": f"{3500 + number % 400} lb"},
        },
    }
    return towed_of(Rig.model_validate(rig), f"trailer {number}")


def _bare() -> float:
    """Processor seconds of statics, limits and sway on 10,000 pairs' columns, bare."""
    a = tow_sides([_tow(0)], "ball")[0]
    b = towed_sides([_towed(3 * n) for n in range(COLUMNS // (FIRST + DRAWS))])[0]
    sides = [drawn(side, DRAWS, 0) for side in (a, b)]
    index = np.zeros(len(b.members), dtype=np.intp), np.arange(len(b.members))
    plain = paired(_tow(0), _towed(0))
    rig = _with_ratings(plain, a, b, *index, FIRST + DRAWS)
    v, plans = _values(plain, sides[0], sides[1], *index, DRAWS), plan_stages(plain)
    best = np.arange(len(b.members)) * (FIRST + DRAWS)

    def once() -> None:
        scene = Scene(rig=rig, stages=plans, values=v)
        found = scene.loads
        for check in checks(scene, questions(plain)):
            if check.high is not None:
                np.mean(check.value <= check.high, axis=-1)
        whole = combination(plain, v, found)
        critical_speeds(whole)
        oscillation(taken(whole, (slice(None), best)), SPEED)

    once()
    turns = SIDE * SIDE // len(b.members) + 1
    start = process_time()
    for _ in range(turns):
        once()
    return process_time() - start


def _one_by_one(tow: Tow, towed: Towed, batched: float) -> Row:
    start = process_time()
    for _ in range(3):
        assess(*of_pair(tow, towed))
    alone = (process_time() - start) / 3
    return Row(
        name="match, one pair through assess, 4,096 draws",
        measured=f"{1000 * alone:.0f} ms",
        ratio=f"{alone / batched:.0f} x",
        baseline=f"a pair in the batch, {1000 * batched:.2f} ms",
    )
