"""A sweep against one assessment for each variant, in the same run."""

from collections.abc import Iterator
from time import process_time

import numpy as np
from rigs import demo_files
from table import Row

from steelyard import assess, read_rig
from steelyard.columns.alike import with_numbers
from steelyard.sweeps.designs import points
from steelyard.sweeps.ranges import read_range, varied
from steelyard.sweeps.variants import Question, answered

VARIANTS = 8192
FEW = 4
RANGES = (
    "items.telescopes.station=10 ft..20 ft",
    "trailer.empty.tongue_weight=560 lb..720 lb",
    "stages.leaving-home.tanks.fresh=5 %..95 %",
)


def rows() -> Iterator[Row]:
    """Processor time of a variant at four stages, four figures, and how far both are apart."""
    camper = next(file for file in demo_files() if "camper" in file.name)
    rig, ranges = varied(read_rig(camper), [read_range(text) for text in RANGES])
    give = ("tongue", "share", "room", "damping")
    question = Question(rig=rig, ranges=ranges, give=give)
    values = question.values(points("lhs", VARIANTS, len(ranges), 0, VARIANTS, 0))
    answered(question, values[:64])
    start = process_time()
    found = answered(question, values)
    swept = (process_time() - start) / VARIANTS
    worst, alone = 0.0, 0.0
    for number in range(FEW):
        one = rig
        for moved, value in zip(ranges, values[number], strict=True):
            one = with_numbers(one, dict.fromkeys(moved.paths, float(value)))
        start = process_time()
        due = assess(one)
        alone += (process_time() - start) / FEW
        best = np.array([stage.tongue.weight_kg.best for stage in due.stages])
        worst = max(worst, float(np.max(np.abs(found["best_tongue_kg"][:, number] / best - 1))))
    yield Row(
        name=f"sweep, {VARIANTS:,} variants of the demo camper, {len(give)} figures",
        measured=f"{1e6 * swept:.0f} us a variant, within {worst:.0e}",
        ratio=f"{alone / swept:.0f} x faster",
        baseline=f"assess, {1e3 * alone:.0f} ms",
        target="300 x, 1e-12",
        met=alone >= 300 * swept and worst < 1e-12,
    )
