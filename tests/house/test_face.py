"""What `import steelyard` shows: every name documented, its arguments, errors and an example."""

import inspect
import re
from pathlib import Path

import pytest

import steelyard

FUNCTIONS = [name for name in steelyard.__all__ if inspect.isfunction(getattr(steelyard, name))]
SAID_ONCE = {"rig", "weighed", "a", "b", "asked", "vehicles", "trailers"}
"""Arguments of many functions, which the module's docstring explains, or the first line does."""


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_public_function_is_documented(name: str) -> None:
    """Each argument by its name, what is raised, and an example that `pytest` runs."""
    function = getattr(steelyard, name)
    said = inspect.getdoc(function) or ""
    arguments = set(inspect.signature(function).parameters) - SAID_ONCE
    assert [one for one in arguments if not re.search(rf"\b{one}\b(?:,[^:]*)?:", said)] == []
    assert "Raises" in said
    assert f">>> from steelyard import {name}" in said
    assert re.search(r"\b(SI|kg|N|m|m/s|litres|share|units|unit|keys)\b", said), "no unit is named"


def test_every_public_name_is_on_the_page(root: Path) -> None:
    """docs/python.md shows each name of `steelyard.__all__`, and no other of the package's face."""
    text = (root / "docs/python.md").read_text(encoding="utf-8")
    shown = set(re.findall(r"auto(?:function|class):: steelyard\.(\w+)$", text, re.MULTILINE))
    face = inspect.getmodule(steelyard.assess)
    here = {n for n, one in vars(face).items() if inspect.getmodule(one) is face and n[0] != "_"}
    assert here | shown == set(steelyard.__all__) - {"__version__"}
