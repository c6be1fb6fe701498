"""The sway answer as JSON for programs; versioned, only grows."""

from typing import Any, Final

from steelyard.assessment.sway_advice import Advice
from steelyard.files.plain import plain
from steelyard.rig import Rig
from steelyard.swaying.narrow import Narrowings
from steelyard.swaying.result import StageSway
from steelyard.swaying.time.simulate import Trace

SWAY: Final = 1
"""Version of this form."""


def sway_report(
    rig: Rig,
    found: tuple[StageSway, ...],
    advice: tuple[Advice, ...],
    narrow: Narrowings,
    trace: Trace | None,
) -> dict[str, Any]:
    """Every stage's answer, the moves, what would narrow it, and the run where there was one; SI
    units in every name."""
    return {
        "sway": SWAY,
        "rig": rig.name,
        "stages": plain(found),
        "moves": plain(advice, {Advice: _advice}),
        "narrowing": plain(narrow),
        "run": None if trace is None else _run(trace),
    }


def _advice(one: Advice) -> dict[str, Any]:
    move = one.move
    return {
        **plain(move),
        "damping_gain": plain(move.gain),
        "wagging_before_mps": plain(move.before.wagging),
        "wagging_after_mps": plain(move.after.wagging),
        "breaks_a_limit": bool(one.breaks),
        **plain(one),
    }


def _run(trace: Trace) -> dict[str, Any]:
    every = slice(None, None, max(len(trace.times) // 500, 1))
    parts = {
        "times_s": trace.times,
        "articulation_rad": trace.of("angle"),
        "aside_m": trace.of("y"),
    }
    return {key: plain(part[every]) for key, part in parts.items()}
