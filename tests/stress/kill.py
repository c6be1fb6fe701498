"""A writer killed (SIGKILL) at any moment: what it said it had written is there, and whole.

`python -m tests.stress.kill [KILLS] [SEED]`.
"""

import random
import signal
import sys
import tempfile
import time
from pathlib import Path

from tests.properties.test_logbook_crash import ADDER, require_whole, start


def kept(path: Path, kills: int, rng: random.Random) -> tuple[set[int], set[int]]:
    """Numbers that were said, and those that are whole after so many kills; each kill checks."""
    said, whole = set[int](), set[int]()
    for turn in range(kills):
        child = start(ADDER, path, f"life {turn}", 100_000)
        assert child.stdout is not None
        said.add(int(child.stdout.readline()))
        time.sleep(rng.uniform(0.0, 0.05))
        child.send_signal(signal.SIGKILL)
        rest, _ = child.communicate(timeout=20)
        said.update(int(line) for line in rest.splitlines(keepends=True) if line.endswith("\n"))
        whole = require_whole(path)
    return said, whole


if __name__ == "__main__":
    kills, seed = (int(word) for word in (*sys.argv[1:], "100", "0")[:2])
    with tempfile.TemporaryDirectory() as folder:
        said, whole = kept(Path(folder) / "logbook.sqlite", kills, random.Random(seed))
    sys.stdout.write(f"{kills} kills: {len(said)} said, {len(said - whole)} lost\n")
