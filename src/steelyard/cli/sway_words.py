"""What `steelyard sway` says to people."""

import textwrap
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from steelyard.assessment.sway_advice import Advice
from steelyard.cli.words import paragraph, table
from steelyard.estimate import Array
from steelyard.quantity import System, to_border, unit_of
from steelyard.swaying.result import Band, CriticalSpeed, StageSway
from steelyard.words import sway

SHOWN_MOVES: Final = 8
LEFT_OUT: Final = 3
HURTS: Final = 2
"""Limits named with a move."""
WORTH_A_LINE: Final = 0.005
WHAT: Final = 38
"""Columns of what to do."""


def step_lines(advice: tuple[Advice, ...], system: System) -> Iterator[str]:
    """Moves that settle it most and break no limit, one a sentence."""
    good = [one for one in advice if one.move.gain > WORTH_A_LINE and not one.breaks]
    for one in good[:3]:
        what = sway.move_words(one.move, system)
        what = f"Move {what}" if one.move.kind == "weight" else what
        but = f"; but {_hurts(one, system)}" if one.hurts else ""
        yield f"{what[0].upper()}{what[1:]}: damping ratio {one.move.gain:+z.2f}{but}."


def curve(found: StageSway, system: System) -> Iterator[str]:
    """Damping against speed."""
    unit = unit_of("speed", system)
    rows: list[Sequence[str]] = [
        (f"speed, {unit}", "damping ratio", "settles to a tenth in, s", "Hz")
    ]
    for i, u in enumerate(found.speeds):
        band = [float(np.ravel(x)[i]) for x in _edges(found.damping)]
        calm = [float(np.ravel(x)[i]) for x in _edges(found.calm)]
        hertz = float(np.ravel(found.frequency.value)[i]) / (2 * np.pi)
        rows.append(
            (
                f"{to_border(float(u), 'speed', system):z.0f}",
                f"{band[0]:z.2f} ({band[1]:z.2f} to {band[2]:z.2f})",
                " to ".join(f"{x:z.1f}" if np.isfinite(x) else "never" for x in calm[1:]),
                f"{hertz:z.2f}",
            )
        )
    yield table(rows, left=())
    yield ""


def _edges(band: Band) -> tuple[Array, Array, Array]:
    return band.value, band.low, band.high


def moved(advice: tuple[Advice, ...], found: StageSway, system: System) -> Iterator[str]:
    """What moves the edge most, with size, and what else it does; then what is left out."""
    good = [one for one in advice if one.move.gain > WORTH_A_LINE]
    kept = [one for one in good if not one.breaks][:SHOWN_MOVES]
    if kept:
        at = sway.speed(found.chosen_speed, system)
        rows: list[Sequence[str]] = [("what", "damping", "sway grows", "on the ball")]
        for number, one in enumerate(kept, start=1):
            rows += _row(number, one, system)
        yield paragraph(f"What would settle it most at “{found.title}” and {at}:")
        yield table(rows)
        yield from _but(kept, system)
        yield ""
    broken = [one for one in good if one.breaks][:LEFT_OUT]
    if broken:
        told = (f"{sway.move_words(one.move, system)} ({_hurts(one, system)})" for one in broken)
        yield paragraph(f"Would settle it too, but break a limit: {'; '.join(told)}.")
        yield ""
    if kept or broken:
        yield paragraph(
            "Limits are those of this stage, and only those whose rating is known: steelyard check"
            " tells of the other stages and of what is missing. Move, then check and weigh again."
            " This asks what settles a swing most here; steelyard stow also holds every limit at"
            " every stage and aims at the middle of the tongue band, so it may plan otherwise."
        )
        yield ""


def _row(number: int, one: Advice, system: System) -> list[Sequence[str]]:
    """A row, and more for words too long for it."""
    words = textwrap.wrap(
        f"{number}. {sway.move_words(one.move, system)}", WHAT, subsequent_indent="   "
    )
    numbers = (
        f"{one.move.gain:+z.3f}",
        sway.onset_words(one.move, system),
        sway.ball_words(one.ball_change_kg, system),
    )
    return [(words[0], *numbers), *((more, "", "", "") for more in words[1:])]


def _but(kept: Sequence[Advice], system: System) -> Iterator[str]:
    """What each move brings close to a limit."""
    for number, one in enumerate(kept, start=1):
        if one.hurts:
            yield paragraph(f"but {number}: {_hurts(one, system)}", indent="     ", first="  ")


def _hurts(one: Advice, system: System) -> str:
    most = (one.breaks or one.hurts)[:HURTS]
    return ", ".join(sway.hurt_words(hurt, system) for hurt in most)


def weighed(before: StageSway | None, after: StageSway, system: System) -> Iterator[str]:
    """What a weighing changed at one stage, where there was one."""
    if before is None:
        return
    at = sway.speed(before.chosen_speed, system)
    rows: list[Sequence[str]] = [("", "rig file", "with the weighing")]
    rows.append(
        (f"damping ratio at {at}", *(sway.band_words(x.at_damping, 3) for x in (before, after)))
    )
    rows.append(("sway grows", *(_from(x.wagging, system) for x in (before, after))))
    rows.append(
        (
            f"chance of damping below {before.chosen_ratio:g}",
            *(f"{100 * x.chance_below:z.1f} %" for x in (before, after)),
        )
    )
    yield paragraph(f"What the weighing changed at “{after.title}”:")
    yield table(rows)
    yield ""


def critical_words(found: CriticalSpeed, system: System) -> str:
    """`62 (55 to never)`, in the unit of the table it stands in."""
    value, low, high = (
        (f"{to_border(x, 'speed', system):z.0f}" if x > 0 else "any") if x < sway.FAST else "never"
        for x in (found.value, found.low, found.high)
    )
    return f"{value} ({low} to {high})"


def _from(found: CriticalSpeed, system: System) -> str:
    told = critical_words(found, system)
    never = not found.value < sway.FAST and not found.low < sway.FAST
    return told if never else f"{told} {unit_of('speed', system)}"
