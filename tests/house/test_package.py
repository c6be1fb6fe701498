"""What a person installs: pinned, hashed, few, and whole."""

import os
import re
import shlex
import shutil
import subprocess
import sys
import sysconfig
import tomllib
import venv
import zipfile
from dataclasses import dataclass
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


@pytest.fixture(scope="module")
def built(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel from a copy of the sources; give its folder's parent."""
    work = tmp_path_factory.mktemp("wheel")
    shutil.copytree(
        root / "src", work / "src", ignore=shutil.ignore_patterns("*.egg-info", "__pycache__")
    )
    for name in ["pyproject.toml", "README.md", "LICENSE"]:
        shutil.copy(root / name, work)
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", "out", "."]
    subprocess.run(build, cwd=work, check=True, capture_output=True, text=True, timeout=120)
    return work


def test_the_wheel_holds_every_module_and_table(built: Path) -> None:
    """The built wheel has each file of src that is no cache, and the licence."""
    (wheel,) = (built / "out").glob("*.whl")
    held = set(zipfile.ZipFile(wheel).namelist())
    source = built / "src"
    wanted = {p.relative_to(source).as_posix() for p in source.rglob("*.*") if p.is_file()}
    assert wanted - {name for name in wanted if "egg-info" in name} - held == set()
    assert any(name.endswith("licenses/LICENSE") for name in held)


@dataclass(frozen=True, slots=True, kw_only=True)
class Installed:
    """The wheel in an environment of its own, without the sources."""

    folder: Path
    environment: dict[str, str]

    def run(self, *words: str, at: Path) -> subprocess.CompletedProcess[str]:
        """One command, from the environment's own folder of programs."""
        program = str(self.folder / "bin" / words[0])
        return subprocess.run(
            [program, *words[1:]],
            cwd=at, env=self.environment, capture_output=True, text=True, check=False, timeout=120,
        )  # fmt: skip


@pytest.fixture(scope="module")
def installed(built: Path) -> Installed:
    """Install the wheel; its dependencies are those of the tests."""
    (wheel,) = (built / "out").glob("*.whl")
    own = built / "venv"
    venv.create(own, with_pip=False, symlinks=True)
    pip = [sys.executable, "-m", "pip", "--python", str(own / "bin/python"), "install", "--quiet"]
    bare = {key: one for key, one in os.environ.items() if not key.startswith("PYTHON")}
    bare["XDG_DATA_HOME"] = str(built / "data")
    subprocess.run([*pip, "--no-deps", "--no-index", str(wheel)], env=bare, check=True, timeout=120)
    (site,) = own.glob("lib/python*/site-packages")
    (site / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return Installed(folder=own, environment=bare)


def test_the_wheel_answers_in_an_environment_of_its_own(
    installed: Installed, tmp_path: Path
) -> None:
    """Installed without the sources: the demo is answered, the self-test holds, page and all."""
    for word, codes in (("demo", (0, 1, 3)), ("selftest", (0,))):
        done = installed.run("steelyard", word, at=tmp_path)
        assert done.returncode in codes, done.stdout + done.stderr
    found = installed.run(
        "python", "-c", "import steelyard; print(steelyard.__file__)", at=tmp_path
    )
    assert found.stdout.startswith(str(installed.folder))


def test_the_tutorial_holds_from_the_wheel(
    installed: Installed, root: Path, tmp_path: Path
) -> None:
    """Copied and pasted, step by step: every file written, every command answered."""
    text = (root / "docs/tutorial.md").read_text(encoding="utf-8")
    steps = re.findall(r"```\{(run|file)\}([^\n]*)\n((?::[^\n]*\n)*)(.*?)```", text, re.DOTALL)
    assert len(steps) > 6
    for kind, name, options, body in steps:
        if kind == "file":
            with (tmp_path / name.strip()).open("a" if ":more:" in options else "w") as file:
                file.write("\n" + body)
            continue
        for line in body.strip().splitlines():
            done = installed.run(*shlex.split(line), at=tmp_path)
            assert done.returncode in (0, 1, 3), line + done.stderr
            assert done.stdout, line
