"""Each test says what it proves, and each validation where its numbers come from."""

import ast
import re
from collections.abc import Mapping

# A kind of source, a body that publishes one, or the year of one.
SOURCE = re.compile(
    r"\bsources?\b|standard|regulation|handbook|textbook|paper|\bexact|closed.form|solver"
    r"|\bfrom memory\b|\b(?:ISO|SAE|UNECE|FMVSS|CFR|NIST|BIPM|NHTSA|ADR|VSB)\b|\b(?:19|20)\d\d\b",
    re.IGNORECASE,
)


def test_each_test_has_a_docstring(test_trees: Mapping[str, ast.Module]) -> None:
    """A test's docstring is the fact it proves."""
    silent = [
        f"{path}:{node.lineno} {node.name}"
        for path, tree in test_trees.items()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.name.startswith("test_")
        and not ast.get_docstring(node)
    ]
    assert silent == []


def test_each_validation_names_its_source(test_trees: Mapping[str, ast.Module]) -> None:
    """A validation is against somebody else's number, and its module's docstring says whose."""
    unsourced = [
        path
        for path, tree in test_trees.items()
        if path.startswith("tests/validation/test_")
        and not SOURCE.search(ast.get_docstring(tree) or "")
    ]
    assert unsourced == []
