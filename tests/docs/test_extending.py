"""The walk through adding a part holds as it stands: applied to a copy, its tests pass."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
FEWER_THAN = 20
"""Lines that each part takes, its test among them; empty ones are not counted."""


def test_each_part_is_added_as_the_page_says(tmp_path: Path) -> None:
    """A limit, a reading, a rule and a figure: each in few lines, in the project's style, with
    a test of its own that passes."""
    page = (ROOT / "docs/extending.md").read_text(encoding="utf-8")
    parts = re.findall(r"```diff\n(.*?)```", page, re.DOTALL)
    assert len(parts) == 4
    for name in ("src", "tests", "docs/rulebooks.md", "pyproject.toml", "conftest.py"):
        there, copy = ROOT / name, tmp_path / name
        copy.parent.mkdir(exist_ok=True)
        (shutil.copytree if there.is_dir() else shutil.copy)(there, copy)
    tests = []
    for part in parts:
        assert len(re.findall(r"^\+(?!\+\+) *\S", part, re.MULTILINE)) < FEWER_THAN
        subprocess.run(["git", "apply", "-"], cwd=tmp_path, input=part, text=True, check=True)
        (path,) = re.findall(r"^\+\+\+ b/(tests/.*)$", part, re.MULTILINE)
        tests += [
            f"{path}::{name}" for name in re.findall(r"^\+def (test_\w+)", part, re.MULTILINE)
        ]
    own = os.environ | {"PYTHONPATH": str(tmp_path / "src")}
    pytest = ["pytest", "-q", "-p", "no:cacheprovider", *tests]
    for words in (["ruff", "check"], ["ruff", "format", "--check"], pytest):
        done = subprocess.run(
            [sys.executable, "-m", *words],
            cwd=tmp_path, env=own, capture_output=True, text=True, check=False, timeout=120,
        )  # fmt: skip
        assert done.returncode == 0, done.stdout + done.stderr
