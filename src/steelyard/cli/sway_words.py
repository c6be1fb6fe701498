"""What `steelyard sway` says to people."""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from steelyard.cli.words import paragraph, table
from steelyard.estimate import Array
from steelyard.quantity import System, shown, to_border
from steelyard.ratings import Verdict
from steelyard.sway import Move, StageSway
from steelyard.sway.answers import Band, CriticalSpeed
from steelyard.words import MARKS, chance

FAST: Final = 200 / 3.6
"""m/s: a critical speed above this is told as beyond any road speed."""
SHOWN_MOVES: Final = 8


def speed(si: float, system: System) -> str:
    """`65 mph`."""
    return shown(si, "speed", system)


def answer(found: StageSway, system: System) -> Iterator[str]:
    """The sentence: how fast it calms, where wagging or folding starts, which comes first."""
    below = float(found.at_damping.value) < found.chosen_ratio
    mark: Verdict = "exceeded" if below else "within"
    if not below and found.chance_below >= 0.025:
        mark = "tight"
    yield paragraph(
        f"{MARKS[mark][0]} At “{found.title}” and {speed(found.chosen_speed, system)} a swing"
        f" {_calms(found.at_calm)}, damping ratio {_band(found.at_damping)}; the chance that it is"
        f" below {found.chosen_ratio:g} is {chance(found.chance_below)}."
    )
    yield paragraph(
        f"Wagging starts {_critical(found.wagging, system)}. Folding (jackknife) without a swing"
        f" starts {_critical(found.jackknife, system)}. Damping falls to {found.chosen_ratio:g}"
        f" {_critical(found.falls, system)}."
    )
    if found.first != "neither":
        other = f"{100 * found.wagging_first:.0f} chances in 100 that wagging comes first"
        yield paragraph(f"What comes first as speed rises: {found.first} ({other}).")
    yield paragraph(
        f"Understeer with the trailer on: {_understeer(found.understeer)}. The damping ratio asked"
        " for is common practice, from memory: a setting (--ratio)."
    )


def _calms(band: Band) -> str:
    if not np.isfinite(band.value):
        return "does not calm: it grows"
    low, high = float(band.low), float(band.high)
    worst = "no calming at all" if not np.isfinite(high) else f"{high:.1f}"
    return f"calms to a tenth in {float(band.value):.1f} s ({low:.1f} to {worst})"


def _band(band: Band) -> str:
    return f"{float(band.value):.2f} ({float(band.low):.2f} to {float(band.high):.2f})"


def _critical(found: CriticalSpeed, system: System) -> str:
    if not np.isfinite(found.value) or found.value > FAST:
        least = ""
        if np.isfinite(found.low) and found.low < FAST:
            least = f" (but perhaps from {speed(found.low, system)})"
        return f"at no road speed{least}"
    high = speed(found.high, system) if found.high < FAST else "no road speed"
    return f"at {speed(found.value, system)} ({speed(found.low, system)} to {high})"


def _understeer(band: Band) -> str:
    """rad/(m/s2) as degrees per g."""
    per_g = np.degrees(1.0) * 9.80665
    value, low, high = (per_g * float(x) for x in (band.value, band.low, band.high))
    return f"{value:.1f} degrees per g ({low:.1f} to {high:.1f})"


def curve(found: StageSway, system: System) -> Iterator[str]:
    """Damping against speed."""
    unit = "mph" if system == "us" else "km/h"
    rows: list[Sequence[str]] = [
        (f"speed, {unit}", "damping ratio", "calms to a tenth in, s", "Hz")
    ]
    for i, u in enumerate(found.speeds):
        band = [float(np.ravel(x)[i]) for x in _edges(found.damping)]
        calm = [float(np.ravel(x)[i]) for x in _edges(found.calm)]
        hertz = float(np.ravel(found.frequency.value)[i]) / (2 * np.pi)
        rows.append(
            (
                f"{to_border(float(u), 'speed', system):.0f}",
                f"{band[0]:.2f} ({band[1]:.2f} to {band[2]:.2f})",
                " to ".join(f"{x:.1f}" if np.isfinite(x) else "never" for x in calm[1:]),
                f"{hertz:.2f}",
            )
        )
    yield table(rows, left=())
    yield ""


def _edges(band: Band) -> tuple[Array, Array, Array]:
    return band.value, band.low, band.high


def moved(advice: tuple[Move, ...], found: StageSway, system: System) -> Iterator[str]:
    """What moves the edge most, with size; nothing here looks at ratings."""
    good = [move for move in advice if move.gain > 0.002][:SHOWN_MOVES]
    if not good:
        return
    at = speed(found.chosen_speed, system)
    rows: list[Sequence[str]] = [("what", f"damping at {at}", "wagging starts at")]
    rows += [(_what(move, system), f"{move.gain:+.3f}", _onset(move, system)) for move in good]
    yield "What would calm it most (hold each against the ratings: steelyard check)"
    yield table(rows)
    yield ""


def _what(move: Move, system: System) -> str:
    if move.kind == "weight":
        much = shown(move.amount, "mass", system)
        return f"{much} from {move.source} to {move.target}"[:46]
    words = {
        "tank": f"{move.what} the {move.target or move.source} tank",
        "tyres": f"{shown(move.amount, 'pressure', system)} more in {move.target} tyres",
        "bars": f"{move.what}: {100 * move.amount:.0f} % of the front load given back",
        "friction": f"friction at the coupling, {move.amount:.0f} N·m",
        "speed": f"{speed(move.amount, system)} slower",
    }
    return words[move.kind][:46]


def _onset(move: Move, system: System) -> str:
    if move.kind == "speed":
        return "as before"
    before, after = move.before.wagging, move.after.wagging
    if not np.isfinite(after) or after > FAST:
        return "no road speed"
    if not np.isfinite(before) or before > FAST:
        return speed(after, system)
    return f"{to_border(after - before, 'speed', system):+.0f} to {speed(after, system)}"
