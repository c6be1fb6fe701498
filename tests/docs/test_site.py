"""The site builds without a warning: links, anchors, commands shown, pictures and examples hold."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
LARGEST = 10_000_000
"""Bytes of the whole site."""


def test_the_site_builds(tmp_path: Path) -> None:
    """Every command on a page answers, every example gives what it says, no link leads nowhere."""
    words = [sys.executable, "-m", "sphinx", "-q", "-W", "--keep-going"]
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
