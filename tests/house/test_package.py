"""What a person installs: pinned, hashed, few, and whole."""

import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

FILES = ["requirements.txt", "requirements-dev.txt"]
PIN = re.compile(r"^([a-z0-9-]+)==(\S+) \\$")
OTHER = re.compile(r"^ +--hash=sha256:[0-9a-f]{64}(?: \\)?$|^ *#.*$|^$")
MOST_PACKAGES_TO_RUN = 30
"""Of which the page needs about ten."""


def _pins(path: Path) -> dict[str, str]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return {found[1]: found[2] for line in lines if (found := PIN.match(line))}


def _plain(requirement: str) -> str:
    return re.split(r"[<>=!~\[; ]", requirement)[0].lower().replace("_", "-")


@pytest.mark.parametrize("name", FILES)
def test_requirements_hold_pins_and_hashes_only(root: Path, name: str) -> None:
    """Each line is an exact version, a hash or a comment: no option, no address."""
    lines = (root / name).read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if not PIN.match(line) and not OTHER.match(line)] == []


@pytest.mark.parametrize("name", FILES)
def test_each_pin_has_a_hash(root: Path, name: str) -> None:
    """A pin is followed by at least one hash, so that nothing else can be installed."""
    lines = (root / name).read_text(encoding="utf-8").splitlines()
    bare = [
        a
        for a, b in zip(lines, [*lines[1:], ""], strict=True)
        if PIN.match(a) and "--hash" not in b
    ]
    assert bare == []


def test_both_files_pin_alike(root: Path) -> None:
    """What is tested is what is run: every pin to run is the same pin to develop."""
    run, develop = (_pins(root / name) for name in FILES)
    assert run.items() <= develop.items()


def test_every_dependency_is_pinned(root: Path) -> None:
    """pyproject.toml asks for nothing that the requirements files leave open."""
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    run, develop = (_pins(root / name) for name in FILES)
    assert {_plain(name) for name in project["dependencies"]} <= set(run)
    assert {_plain(name) for name in project["optional-dependencies"]["dev"]} <= set(develop)


def test_few_packages_are_needed_to_run(root: Path) -> None:
    """A first demo waits for few downloads."""
    assert len(_pins(root / FILES[0])) <= MOST_PACKAGES_TO_RUN


def test_the_wheel_holds_every_module_and_table(root: Path, tmp_path: Path) -> None:
    """The built wheel has each .py and .toml file of src, and the licence."""
    shutil.copytree(
        root / "src", tmp_path / "src", ignore=shutil.ignore_patterns("*.egg-info", "__pycache__")
    )
    for name in ["pyproject.toml", "README.md", "LICENSE"]:
        shutil.copy(root / name, tmp_path)
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", "out", "."]
    subprocess.run(build, cwd=tmp_path, check=True, capture_output=True, text=True, timeout=120)
    (wheel,) = (tmp_path / "out").glob("*.whl")
    held = set(zipfile.ZipFile(wheel).namelist())
    source = tmp_path / "src"
    wanted = {
        p.relative_to(source).as_posix()
        for p in source.rglob("*.*")
        if p.suffix in {".py", ".toml"}
    }
    assert wanted - {name for name in wanted if "egg-info" in name} - held == set()
    assert any(name.endswith("licenses/LICENSE") for name in held)
