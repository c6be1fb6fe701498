"""One assessment, warm, against the bare cost of drawing and of the load kernels."""

from collections.abc import Iterator
from statistics import median

import rigs
from machine import seconds, work
from table import Row

from steelyard.assessment import assess
from steelyard.estimate import draws
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.travel import plan_stages

DRAWS = 4096
TARGET = 0.025
"""s, one stage on an idle machine."""


def rows() -> Iterator[Row]:
    """The typical rig at one stage and six, demo rigs at their first stage, a drop on the page."""
    yield _row("typical rig, one stage", rigs.typical(), None)
    yield _row("typical rig, six stages", rigs.trip(), None)
    try:
        from steelyard.files.reader import read_rig
    except ImportError:
        yield Row(name="assess, demo rigs", measured="skipped", ratio="", baseline="no reader yet")
        return
    for path in rigs.demo_files():
        rig = read_rig(path)
        yield _row(f"{path.stem}, one stage", rig, (plan_stages(rig)[0].key,))
    camper = next(path for path in rigs.demo_files() if path.stem == "perihelion-camper")
    yield _dropped(read_rig(camper))


def _dropped(rig: Rig) -> Row:
    """An item dropped elsewhere on the page: the belief is there, every stage is asked at once."""
    estimate = prior(rig).estimate
    found = median(work(lambda: assess(rig, estimate=estimate, draws=DRAWS)) for _ in range(25))
    return Row(
        name=f"assess, an item moved, {len(plan_stages(rig))} stages in one batch",
        measured=f"{found * 1e3:.1f} ms of processor",
        ratio="",
        baseline="perihelion-camper, belief given",
        target="25 ms",
        met=found < TARGET,
    )


def _row(name: str, rig: Rig, stages: tuple[str, ...] | None) -> Row:
    found = seconds(lambda: assess(rig, stages=stages, draws=DRAWS))
    bare, parameters = _bare(rig, stages)
    one = stages is not None or len(plan_stages(rig)) == 1
    return Row(
        name=f"assess, {name}",
        measured=f"{found * 1e3:.1f} ms, {parameters} parameters",
        ratio=f"{found / bare:.1f} x the time",
        baseline=f"drawing and load kernels alone, {bare * 1e3:.1f} ms",
        target="25 ms" if one else "",
        met=found < TARGET if one else None,
    )


def _bare(rig: Rig, stages: tuple[str, ...] | None) -> tuple[float, int]:
    """Time of base points times root, scales and loads; number of parameters."""
    estimate = prior(rig).estimate
    plans = tuple(plan for plan in plan_stages(rig) if stages is None or plan.key in stages)

    def run() -> None:
        loads(rig, estimate.values(draws(estimate, DRAWS, 0)), plans)

    return seconds(run), len(estimate.names)
