"""The Python that the pages show is typed: a reader's strict checker accepts all of it."""

import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
BLOCK = re.compile(r"```(?:\{doctest\}|python)\n(.*?)```", re.DOTALL)
PROMPT = re.compile(r"^(?:>>>|\.\.\.) ?", re.MULTILINE)


def shown(page: Path) -> str:
    """The statements of a page's examples, one after another."""
    lines = [
        line
        for block in BLOCK.findall(page.read_text(encoding="utf-8"))
        for line in block.splitlines()
        if ">>>" not in block or PROMPT.match(line)
    ]
    return PROMPT.sub("", "\n".join(lines)) + "\n"


def test_examples_hold_under_a_strict_type_check(tmp_path: Path) -> None:
    """mypy --strict, with no settings of ours, finds nothing in the examples of any page."""
    pages = [*ROOT.glob("docs/**/*.md"), ROOT / "README.md"]
    written = {page.stem.replace("-", "_"): shown(page) for page in pages}
    paths = [tmp_path / f"{name}.py" for name, text in written.items() if text.strip()]
    for path in paths:
        path.write_text(written[path.stem], encoding="utf-8")
    assert {"python", "notebook"} <= {path.stem for path in paths}
    own = os.environ | {"MYPYPATH": str(ROOT / "src")}
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--follow-imports=silent", *map(str, paths)],
        cwd=tmp_path, env=own, capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout
