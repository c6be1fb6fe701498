"""Whatever is in a file, its reader answers or says what is wrong, and never crashes or hangs."""

from pathlib import Path

import pytest
from tests.stress.fuzz import kinds, tried


@pytest.mark.parametrize("name", list(kinds()))
def test_a_broken_file_is_answered_or_told(name: str, tmp_path: Path) -> None:
    """Eighty good files of each kind, broken by bits, stretches, tokens, lines and numbers."""
    found = tried(name, kinds()[name], 80, seed=2, folder=tmp_path)
    assert set(found) <= {"answered", "told"}, found
    assert found["told"] >= 10
