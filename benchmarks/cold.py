"""Cold processes: the command line's help and check, against importing NumPy alone."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import rigs
from machine import seconds
from table import Row

SOURCE = Path(__file__).resolve().parents[1] / "src"


def rows() -> Iterator[Row]:
    """Median of nine processes each."""
    base = seconds(lambda: _run("-c", "import numpy"), 9)
    yield _row("steelyard --help", ("--help",), base, 0.25)
    demos = rigs.demo_files()
    if not demos:
        yield Row(name="steelyard check", measured="skipped", ratio="", baseline="no demo rigs yet")
    for path in demos:
        yield _row(f"steelyard check {path.name}", ("check", str(path)), base, 0.8)


def _row(name: str, words: tuple[str, ...], base: float, target: float) -> Row:
    fault = _fault(words)
    if fault:
        return Row(name=name, measured="skipped", ratio="", baseline=fault)
    found = seconds(lambda: _run("-m", "steelyard", *words), 9)
    return Row(
        name=name,
        measured=f"{found * 1e3:.0f} ms",
        ratio=f"{found / base:.1f} x the time",
        baseline=f'python -c "import numpy", {base * 1e3:.0f} ms',
        target=f"{target * 1e3:.0f} ms",
        met=found < target,
    )


def _fault(words: tuple[str, ...]) -> str:
    """Why a command can't be timed, or nothing; 1 and 3 are verdicts, not faults."""
    done = _run("-m", "steelyard", *words)
    if done.returncode in (0, 1, 3) and done.stdout and b"Traceback" not in done.stderr:
        return ""
    said = done.stderr.decode().strip().splitlines() or [f"exit code {done.returncode}"]
    return said[-1]


def _run(*words: str) -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(SOURCE)}
    return subprocess.run(
        [sys.executable, *words], capture_output=True, check=False, env=environment
    )
