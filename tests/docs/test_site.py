"""The site builds without a warning: links, anchors, commands shown, pictures and examples hold."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LARGEST = 10_000_000
"""Bytes of the whole site."""


@pytest.mark.parametrize("whole", [False, pytest.param(True, marks=pytest.mark.study)])
def test_the_site_builds(tmp_path: Path, *, whole: bool) -> None:
    """Every command on a page answers, every example gives what it says, no link leads nowhere.

    Docstrings' examples and the validation tests, which stand on pages too, are run beside this
    one anyway; as a study the pages run them again, as `make docs` does.
    """
    words = [sys.executable, "-m", "sphinx", "-q", "-W", "--keep-going"]
    words += [] if whole else ["-D", "held=0", "-D", "doctest_test_doctest_blocks="]
    for builder in ("html", "doctest"):
        out = tmp_path / builder
        done = subprocess.run(
            [*words, "-d", str(tmp_path / "read"), "-b", builder, str(ROOT / "docs"), str(out)],
            capture_output=True,
            text=True,
            check=False,
            timeout=900,
        )
        assert done.stderr + done.stdout == ""
        assert sum(path.stat().st_size for path in out.rglob("*") if path.is_file()) < LARGEST
