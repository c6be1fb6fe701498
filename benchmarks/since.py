"""An assessment and a match against the same at a named commit, in turns in one run.

`python benchmarks/since.py WHAT` prints the seconds of processor that one takes, of whatever
`steelyard` stands first on the path: only names that both have are imported.
"""

import io
import os
import subprocess
import sys
import tarfile
import tempfile
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median
from typing import Any

from machine import work
from table import Row

from steelyard.files.demo import demo_rigs

ROOT = Path(__file__).parents[1]
BASELINE = "49d7b9d"
"""The commit that costs are held against; its answers tell less."""
TURNS, RIGS, TRAILERS = 3, 20, 1000
SLOWER = 1.05


def rows() -> Iterator[Row]:
    """Medians of some turns, each in a process of its own."""
    with as_it_was() as source:
        if source is None:
            return
        for what in ("assess", "match"):
            both = [[_seconds(one, what) for _ in range(TURNS)] for one in (ROOT / "src", source)]
            now, was = (median(times) for times in both)
            yield Row(
                name=f"{what}, {WHAT[what]}",
                measured=f"{now * 1e3:.1f} ms of processor",
                ratio=f"{now / was:.2f} x the time",
                baseline=f"commit {BASELINE}, which told less, {was * 1e3:.1f} ms",
                target=f"{SLOWER} x",
                met=now <= SLOWER * was,
            )


WHAT = {"assess": f"one of {RIGS} rigs", "match": f"1 x {TRAILERS:,}"}


@contextmanager
def as_it_was() -> Iterator[Path | None]:
    """The sources of the baseline, out of the repository; None where it does not hold them."""
    words = ["git", "-C", str(ROOT), "archive", BASELINE, "src"]
    found = subprocess.run(words, capture_output=True, check=False)
    with tempfile.TemporaryDirectory() as folder:
        if found.returncode == 0:
            with tarfile.open(fileobj=io.BytesIO(found.stdout)) as held:
                held.extractall(folder, filter="data")
        yield Path(folder) / "src" if found.returncode == 0 else None


def as_it_reads(rig: str) -> str:
    """A rig without the key that the baseline does not know, and does not need."""
    lines = rig.splitlines(keepends=True)
    return "".join(line for line in lines if not line.startswith("everything_listed"))


def _seconds(source: Path, what: str) -> float:
    env = {**os.environ, "PYTHONPATH": str(source), "OPENBLAS_NUM_THREADS": "1"}
    words = [sys.executable, __file__, what]
    return float(subprocess.run(words, env=env, capture_output=True, text=True, check=True).stdout)


def _assessed() -> float:
    """s, of rigs that differ, so that nothing is remembered."""
    from steelyard import assess

    rigs = []
    for number in range(RIGS + 5):
        data = tomllib.loads(as_it_reads(demo_rigs()["perihelion-camper.toml"]))
        data["items"]["bikes"]["weight"] = f"{60 + number} lb"
        rigs.append(_rig(data))
    times = [work(lambda rig=rig: assess(rig)) for rig in rigs]  # type: ignore[misc]
    return median(times[5:])


def _matched() -> float:
    """s, one vehicle with many trailers."""
    from steelyard.matching.candidates import tow_of, towed_of
    from steelyard.matching.match import match

    truck = {"class": "half-ton-crew-cab", "gvwr": "7000 lb", "payload": "1700 lb"}
    trailer: dict[str, Any] = {"style": "rear-living", "gvwr": "7000 lb"}
    tow = tow_of(_rig({"vehicle": truck, "trailer": trailer}), "vehicle")
    toweds = []
    for number in range(TRAILERS):
        empty = {"weight": f"{4500 + number} lb", "tongue_weight": f"{520 + number % 90} lb"}
        data = {"vehicle": truck, "trailer": {**trailer, "empty": empty}}
        toweds.append(towed_of(_rig(data), f"trailer {number}"))
    match([tow], toweds[:3])  # loads what is compiled
    return work(lambda: match([tow], toweds))


def _rig(data: dict[str, Any]) -> Any:
    from steelyard.rig import Rig

    return Rig.model_validate(data)


if __name__ == "__main__":
    print({"assess": _assessed, "match": _matched}[sys.argv[1]]())
