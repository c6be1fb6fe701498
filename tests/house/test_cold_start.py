"""A first `check` is quick because it loads little."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = [
    "scipy.stats",
    "scipy.optimize",
    "scipy.special",
    "numba",
    "pint",
    "tree_sitter",
    "typst",
]

# Run apart, so that nothing that pytest or another test has loaded is seen.
CHECK = """
import json, sys
from click.testing import CliRunner
from steelyard.cli import main
result = CliRunner().invoke(main, ["check", sys.argv[1]])
print(json.dumps([result.exit_code, result.output, sorted(sys.modules)]))
"""
DEMO = """
import sys
from steelyard.cli import main
main(["demo", "--into", sys.argv[1]])
"""


def _run(script: str, argument: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", script, str(argument)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)


def _demo_rig(folder: Path) -> Path:
    made = _run(DEMO, folder)
    rigs = [
        p for p in sorted(folder.rglob("*.toml")) if "[vehicle" in p.read_text(encoding="utf-8")
    ]
    assert rigs, made.stdout + made.stderr
    return rigs[0]


def test_check_loads_nothing_heavy(root: Path, tmp_path: Path) -> None:
    """A good rig file is checked without SciPy's slow parts, Numba, pint, a parser or a plotter."""
    door = root / "src/steelyard/cli/__init__.py"
    if not door.is_file() or "main" not in door.read_text(encoding="utf-8"):
        pytest.skip("no command line yet")
    run = _run(CHECK, _demo_rig(tmp_path / "demo"))
    assert run.returncode == 0, run.stderr
    code, output, modules = json.loads(run.stdout)
    assert code in {0, 1, 3}, output
    assert [name for name in HEAVY if name in modules] == []
