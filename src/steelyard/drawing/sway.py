"""Sway drawn: damping against speed, where the cargo rides, and a run."""

from collections.abc import Sequence

from steelyard.drawing.cargo import cargo_picture
from steelyard.drawing.damping import damping_curve
from steelyard.drawing.paper import stacked_sheets
from steelyard.drawing.trace import trace_picture
from steelyard.quantity import System, shown
from steelyard.swaying.chart import CargoChart
from steelyard.swaying.result import StageSway
from steelyard.swaying.time.simulate import Trace


def sway_picture(
    name: str,
    found: Sequence[StageSway],
    worst: StageSway,
    system: System,
    chart: CargoChart | None = None,
    trace: Trace | None = None,
) -> str:
    """The worst stage with its band and the others beside it; chart and run where there are any."""
    others = [one for one in found if one is not worst]
    pictures = [damping_curve(worst, system, others=others)]
    if chart is not None:
        pictures.append(cargo_picture(chart, system, speed=worst.chosen_speed))
    if trace is not None:
        at = shown(worst.chosen_speed, "speed", system)
        pictures.append(trace_picture(trace, title=f"The trailer's swing at {at}"))
    return stacked_sheets(f"{name}: sway, {worst.title}", *pictures)
