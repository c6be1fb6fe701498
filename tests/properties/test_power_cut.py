"""A cut of power at any moment: what was said to be kept is there, and nothing is half there."""

import random
import shutil
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from tests.stress.power import (
    ACTS,
    BOOK_ACTS,
    SAVES,
    WEIGHINGS,
    Note,
    acts_lost,
    book_acts_lost,
    disk,
    library,
    noted,
    saves_lost,
    weighings_lost,
)

Lost = Callable[[Sequence[Note], int, random.Random, Path], Counter[str]]


@pytest.mark.skipif(sys.platform != "linux" or not shutil.which("cc"), reason="no C compiler")
@pytest.mark.parametrize(
    ("script", "lost"),
    [
        (WEIGHINGS, weighings_lost),
        (SAVES, saves_lost),
        (ACTS, acts_lost),
        (BOOK_ACTS, book_acts_lost),
    ],
)
def test_nothing_said_to_be_kept_is_lost(script: str, lost: Lost, tmp_path: Path) -> None:
    """Unsynced writes dropped, torn and out of order, unsynced names undone, at 40 moments."""
    notes = noted(script, tmp_path, library(tmp_path))
    found = lost(notes, 40, random.Random(3), tmp_path)
    assert found["said"] > 30
    assert (found["lost"], found["not whole"]) == (0, 0)


@pytest.mark.skipif(sys.platform != "linux" or not shutil.which("cc"), reason="no C compiler")
@pytest.mark.parametrize(("script", "flushes", "acts"), [(ACTS, 6, 15), (BOOK_ACTS, 3, 12)])
def test_no_act_waits_for_the_disk(script: str, flushes: int, acts: int, tmp_path: Path) -> None:
    """A log is synced by whoever flushes it, and when it is opened or closed: not by each act."""
    notes = noted(script, tmp_path, library(tmp_path))
    syncs = sum(note.what == "s" and note.name.endswith("-wal") for note in notes)
    assert flushes <= syncs < acts


def test_what_was_not_synced_may_be_gone() -> None:
    """The disk that is put together does lose what no sync stands behind: the test can fail."""
    notes = [Note("c", "/d/a", 0, b""), Note("w", "/d/a", 0, b"x" * 2000)]
    synced = [*notes, Note("s", "/d/a", 0, b""), Note("s", "/d", 0, b"")]
    before = {len(disk(notes, random.Random(n))[0].get("/d/a", b"")) for n in range(200)}
    after = {len(disk(synced, random.Random(n))[0]["/d/a"]) for n in range(200)}
    assert {0, 512, 2000} <= before
    assert after == {2000}
