"""`python -m tests.differential`: what answers differently since another commit.

Both sides answer the same seeded rigs, each in a process of its own. Nothing of it is kept.
"""

import contextlib
import gzip
import json
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any, Final

import click
from tests.differential import calls as made
from tests.differential.comparer import Difference, allowed, command_of, differences, grouped, told

ROOT: Final = Path(__file__).parents[2]
FIRST: Final = "49d7b9d"
"""The commit that the listed differences are counted from."""
LISTED: Final = Path(__file__).with_name("allowed.toml")
RUNNER: Final = Path(__file__).with_name("runner.py")
SIDES: Final = ("base", "head")
DIED: Final = {"exit": -1, "stdout": "", "stderr": "", "crash": "the process died", "seconds": 0.0}
Record = dict[str, Any]
Job = tuple[int, list[made.Call]]


def _sources(base: str, into: Path) -> None:
    """Put `src` of the base commit, and a copy of the working tree's, into a folder for each."""
    archive = ["git", "archive", base, "src"]
    packed = subprocess.run(archive, cwd=ROOT, check=True, capture_output=True).stdout
    with tarfile.open(fileobj=BytesIO(packed)) as files:
        files.extractall(into / "base", filter="data")
    skipped = shutil.ignore_patterns("__pycache__", "*.egg-info")
    shutil.copytree(ROOT / "src", into / "head" / "src", ignore=skipped)


def _jobs(into: Path, rigs: int, only: tuple[int, ...], commands: frozenset[str]) -> list[Job]:
    """Write the rigs; each one's number and the calls asked of it."""
    found = []
    for number in only or range(rigs):
        asked = made.lay(into / "rigs" / str(number), number)
        found.append((number, [one for one in asked if not commands or one[0] in commands]))
    return found


def _started(side: str, into: Path, jobs: list[Job], turn: int) -> "subprocess.Popen[bytes]":
    """One side's process under way, with a home of its own."""
    home = into / side / f"home{turn}"
    home.mkdir()
    (home / "jobs.json").write_text(json.dumps(jobs), encoding="utf-8")
    environment = {
        **os.environ,
        "PYTHONPATH": str(into / side / "src"),
        "HOME": str(home),
        "STEELYARD_LOGBOOK": "logbook.db",
        "OPENBLAS_NUM_THREADS": "1",
        "COLUMNS": "80",
    }
    command = [sys.executable, str(RUNNER), "jobs.json", str(into / "rigs"), "out.jsonl.gz"]
    return subprocess.Popen(command, cwd=home, env=environment)


def _records(path: Path) -> Iterator[Record]:
    """The lines one side wrote, as far as it came."""
    if not path.exists():
        return
    with contextlib.suppress(EOFError), gzip.open(path, "rt", encoding="utf-8") as lines:
        for line in lines:
            with contextlib.suppress(ValueError):
                yield json.loads(line)


def _answers(into: Path, jobs: list[Job]) -> None:
    """Let both sides answer; where one dies, it goes on with the next rig in a new process."""
    left = dict.fromkeys(SIDES, jobs)
    turn = 0
    while any(left.values()):
        running = {side: _started(side, into, mine, turn) for side, mine in left.items() if mine}
        for side, process in running.items():
            code = process.wait()
            done = {one["rig"] for one in _records(_out(into, side, turn))}
            started = [job for job in left[side] if job[0] in done]
            died = max(len(started), 1)
            left[side] = left[side][died:] if code else []
        turn += 1


def _out(into: Path, side: str, turn: int) -> Path:
    return into / side / f"home{turn}" / "out.jsonl.gz"


def _stream(into: Path, side: str, turns: int) -> Iterator[Record]:
    for turn in range(turns):
        yield from _records(_out(into, side, turn))


def _paired(into: Path, jobs: list[Job]) -> Iterator[tuple[Record, Record]]:
    """Both sides' records of every call, in order."""
    streams = [_stream(into, side, len(jobs)) for side in SIDES]
    ahead: list[Record | None] = [None, None]
    for number, asked in jobs:
        for argv in [*map(list, asked), ["files"]]:
            for place, stream in enumerate(streams):
                ahead[place] = ahead[place] or next(stream, None)
            pair = []
            for place, one in enumerate(ahead):
                mine = one is not None and (one["rig"], one["argv"]) == (number, argv)
                pair.append(one if mine and one else {"rig": number, "argv": argv, **DIED})
                ahead[place] = None if mine else one
            yield pair[0], pair[1]


class Tally:
    """Verdicts of `check`, and seconds by command, of one side."""

    def __init__(self) -> None:
        self.verdicts: Counter[str] = Counter()
        self.seconds: Counter[str] = Counter()
        self.crashes = 0

    def add(self, one: Record) -> None:
        """Count one call."""
        self.seconds[command_of(one["argv"])] += one["seconds"]
        self.crashes += bool(one["crash"])
        if one["argv"] == ["check", made.RIG, "--json"]:
            self.verdicts[_verdict(one)] += 1


def _verdict(one: Record) -> str:
    try:
        return str(json.loads(one["stdout"])["verdict"])
    except (ValueError, KeyError):
        return "refused" if one["exit"] == 2 else "crashed"


def _table(tallies: Mapping[str, Tally]) -> Iterator[str]:
    """Shares of verdicts, crashes, and time, side by side."""
    base, head = (tallies[side] for side in SIDES)
    yield f"{'check, verdict':<16}{'base':>12}{'head':>12}"
    rigs = sum(base.verdicts.values()) or 1
    for word in sorted({*base.verdicts, *head.verdicts}):
        parts = [
            f"{t.verdicts[word]:5d} {100 * t.verdicts[word] / rigs:4.1f} %" for t in (base, head)
        ]
        yield f"  {word:<14}" + "".join(f"{part:>12}" for part in parts)
    yield f"{'calls that crash':<16}{base.crashes:>12}{head.crashes:>12}"
    yield f"{'seconds':<16}{sum(base.seconds.values()):>12.1f}{sum(head.seconds.values()):>12.1f}"
    for word, time in base.seconds.most_common():
        if time or head.seconds[word]:
            yield f"  {word:<14}{time:>12.1f}{head.seconds[word]:>12.1f}"


@click.command()
@click.option("--base", default=FIRST, envvar="STEELYARD_BASE", help="The commit to compare with.")
@click.option("--rigs", default=300, help="So many rigs.")
@click.option("--only", multiple=True, type=int, help="Only this rig; may be given several times.")
@click.option("--commands", default="", help="Only these: check,sway.")
@click.option("--tolerance", default=1e-12, help="Numbers nearer than this are alike.")
@click.option("--groups", default=12, help="Paths shown of each command.")
@click.option("--keep", type=click.Path(path_type=Path), help="Leave rigs and answers in here.")
def main(
    base: str,
    rigs: int,
    only: tuple[int, ...],
    commands: str,
    tolerance: float,
    groups: int,
    keep: Path | None,
) -> None:
    """Compare the working tree's answers with another commit's; exit 1 where one differs.

    Differences listed in allowed.toml are counted from the default base, and only there.
    """
    listed = allowed(LISTED) if base == FIRST else ()
    wanted = frozenset(filter(None, commands.split(",")))
    found: list[Difference] = []
    tallies = {side: Tally() for side in SIDES}
    explained = 0
    with contextlib.ExitStack() as stack:
        if keep is None:
            keep = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        _sources(base, keep)
        jobs = _jobs(keep, rigs, only, wanted)
        _answers(keep, jobs)
        for pair in _paired(keep, jobs):
            for side, one in zip(SIDES, pair, strict=True):
                tallies[side].add(one)
            here = differences(*pair, tolerance)
            new = [one for one in here if not any(rule.holds(one) for rule in listed)]
            explained += len(here) - len(new)
            found += new
    click.echo("\n".join(_table(tallies)))
    click.echo("\n".join(told(grouped(found), groups)))
    click.echo(f"{len(found)} leaves differ from {base}; {explained} more are listed and explained")
    raise SystemExit(1 if found else 0)


if __name__ == "__main__":
    main()
