"""The documents name every command there is."""

import importlib
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest


def _names(command: click.Command, path: str) -> Iterator[str]:
    if not isinstance(command, click.Group):
        yield path
        return
    context = click.Context(command)
    for name in command.list_commands(context):
        inner = command.get_command(context, name)
        assert inner is not None
        yield from _names(inner, f"{path} {name}")


def test_every_command_is_documented(root: Path) -> None:
    """Each command stands, as it is typed, in README.md or on a page of docs."""
    door = root / "src/steelyard/cli/__init__.py"
    if not door.is_file() or "main" not in door.read_text(encoding="utf-8"):
        pytest.skip("no command line yet")
    main = importlib.import_module("steelyard.cli").main
    pages = [root / "README.md", *(root / "docs").glob("*.md")]
    text = "\n".join(page.read_text(encoding="utf-8") for page in pages if page.is_file())
    names = list(_names(main, "steelyard"))
    assert len(names) >= 5
    assert [name for name in names if not re.search(rf"{name}\b", text)] == []
