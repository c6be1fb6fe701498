"""The page's server killed at any moment, in small; `make stress` does it a hundred times."""

import random
from pathlib import Path

from tests.stress.lives import named


def test_a_killed_server_loses_no_accepted_act(tmp_path: Path) -> None:
    """What was answered is in the book in its order, each once; of what was not answered at most
    the last, which was sent again."""
    accepted, kept = named(tmp_path / "book.sqlite", 2, random.Random(0))
    assert len(accepted) > 2
    assert kept[: len(accepted)] == accepted
    assert len(kept) <= len(accepted) + 1
