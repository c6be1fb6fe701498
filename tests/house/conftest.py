"""What the house tests look at: the files of the project, and its syntax trees."""

import ast
import shutil
import subprocess
from collections.abc import Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def root() -> Path:
    """Give the project's folder."""
    return ROOT


@pytest.fixture(scope="session")
def texts() -> Mapping[str, str]:
    """Give the text of each file that git tracks, or would once added, by its path."""
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("not a git checkout")
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    listed = subprocess.run(command, cwd=ROOT, capture_output=True, check=True, text=True).stdout
    paths = [ROOT / name for name in listed.split("\0") if name]
    return {
        path.relative_to(ROOT).as_posix(): path.read_bytes().decode(errors="replace")
        for path in paths
        if path.is_file()
    }


@pytest.fixture(scope="session")
def source_trees() -> Mapping[str, ast.Module]:
    """Give the syntax tree of each module under src, by its path."""
    return _trees("src")


@pytest.fixture(scope="session")
def test_trees() -> Mapping[str, ast.Module]:
    """Give the syntax tree of each module under tests, by its path."""
    return _trees("tests")


def _trees(folder: str) -> dict[str, ast.Module]:
    return {
        path.relative_to(ROOT).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for path in sorted((ROOT / folder).rglob("*.py"))
    }
