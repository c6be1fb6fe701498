"""Work in parts of fixed size: each written beside and renamed whole, skipped where it is there.

What a part holds hangs on the job and its number alone, so the folder is the same whoever worked it
out, in whatever order, however often it was stopped.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol

from steelyard import __version__
from steelyard.fault import FaultError
from steelyard.files.writer import write_new
from steelyard.fleet.engines import prepared, run

BYTES: Final = 1 << 20
JOB: Final = "job.json"
Progress = Callable[[int, int], None]
"""Told how many parts are done, those found included, and how many there are."""

Task = Callable[[], bytes]
"""The work of one part: its file's bytes, from what it carries alone."""


class Job(Protocol):
    """Work that is cut into parts."""

    @property
    def count(self) -> int:
        """How many parts."""
        ...

    def says(self) -> Mapping[str, Any]:
        """All that the numbers hang on, as JSON values: another job's parts are never taken."""
        ...

    def tasks(self, wanted: set[int]) -> Iterator[tuple[int, Task]]:
        """The work of some parts, by number."""
        ...


@dataclass(frozen=True, slots=True)
class Part:
    """A numbered task, done wherever it is sent: its number, bytes, and the worker's version."""

    number: int
    task: Task

    def __call__(self) -> tuple[int, bytes, str]:
        """Work it out."""
        return self.number, self.task(), prepared()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """A folder with all parts: how many were there already, and a digest of all they hold."""

    folder: Path
    parts: tuple[Path, ...]
    found: int
    digest: str


def finish(
    job: Job, folder: Path, executor: Executor, at_once: int, progress: Progress = lambda *_: None
) -> Finished:
    """Work out the parts that are not there yet. FaultError for another job's folder, no room, a
    worker of another version; what is finished by then is kept."""
    _begin(job, folder)
    paths = tuple(folder / f"part-{number:06d}.parquet" for number in range(job.count))
    todo = [number for number, path in enumerate(paths) if not path.exists()]
    done = found = len(paths) - len(todo)
    progress(done, len(paths))
    tasks = (Part(number, task) for number, task in job.tasks(set(todo)))
    for number, data, version in run(tasks, executor, at_once):
        _same(version)
        write_new(paths[number], data, over=True)
        done += 1
        progress(done, len(paths))
    return Finished(folder=folder, parts=paths, found=found, digest=digest(paths))


def digest(paths: Iterable[Path]) -> str:
    """SHA-256 of files' bytes, one after another."""
    found = hashlib.sha256()
    for path in paths:
        with path.open("rb") as file:
            while some := file.read(BYTES):
                found.update(some)
    return found.hexdigest()


def _begin(job: Job, folder: Path) -> None:
    """Make the folder and say in it what it is of; FaultError where it is of something else."""
    said = {"steelyard": __version__, "parts": job.count, **job.says()}
    text = json.dumps(said, indent=1, ensure_ascii=False, sort_keys=True) + "\n"
    path = folder / JOB
    try:
        folder.mkdir(parents=True, exist_ok=True)
        there = path.read_text(encoding="utf-8") if path.exists() else None
    except OSError as error:
        hint = (error.strerror or "unknown").lower()
        due = "a folder to write parts into"
        raise FaultError(argument="out", due=due, found=str(folder), hint=hint) from None
    if there is None:
        write_new(path, text)
    elif there != text:
        due, found = "a folder of its own for each job", f"{folder} with another's parts"
        hint = f"{JOB} there says of what; the same question goes on with them"
        raise FaultError(argument="out", due=due, found=found, hint=hint)


def _same(version: str) -> None:
    if version != __version__:
        due = f"workers of version {__version__}, as this one is"
        raise FaultError(argument="on", due=due, found=version)
