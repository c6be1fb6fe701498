"""The layers of decision 1 hold."""

import tomllib
from pathlib import Path

from importlinter.cli import lint_imports


def test_the_import_contracts_hold(root: Path) -> None:
    """Upper parts import lower ones only, and only the right ones know the outside libraries."""
    assert lint_imports(config_filename=str(root / "pyproject.toml"), no_cache=True) == 0


def test_a_part_that_exists_is_not_optional(root: Path) -> None:
    """Parentheses mark the parts that are not built yet, and no others."""
    settings = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    rows = settings["tool"]["importlinter"]["contracts"][0]["layers"]
    optional = {part.strip(" ()") for row in rows for part in row.split("|") if "(" in part}
    built = {path.parent.name for path in (root / "src/steelyard").glob("*/__init__.py")}
    assert optional & built == set()
