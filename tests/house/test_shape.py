"""Small modules, small functions, telling names, and silence inside."""

import ast
from collections.abc import Iterator, Mapping
from pathlib import Path, PurePosixPath

LONGEST_MODULE = 400
LONGEST_FUNCTION = 60
NAMES_THAT_TELL_NOTHING = {"utils", "util", "helpers", "helper", "common", "manager", "misc"}

type_of_function = (ast.FunctionDef, ast.AsyncFunctionDef)


def _functions(tree: ast.Module) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(tree):
        if isinstance(node, type_of_function):
            yield node


def _length(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    return (node.end_lineno or node.lineno) - node.lineno + 1


def test_modules_are_short(root: Path, source_trees: Mapping[str, ast.Module]) -> None:
    """A module of the library has under 400 lines."""
    lines = {
        path: len((root / path).read_text(encoding="utf-8").splitlines()) for path in source_trees
    }
    assert {path: n for path, n in lines.items() if n >= LONGEST_MODULE} == {}


def test_functions_are_short(source_trees: Mapping[str, ast.Module]) -> None:
    """A function of the library has under 60 lines, its docstring included."""
    lengths = {
        f"{path}:{node.lineno} {node.name}": _length(node)
        for path, tree in source_trees.items()
        for node in _functions(tree)
    }
    assert {name: n for name, n in lengths.items() if n >= LONGEST_FUNCTION} == {}


def test_names_tell_something(
    source_trees: Mapping[str, ast.Module], test_trees: Mapping[str, ast.Module]
) -> None:
    """No module or folder is named for being useful only."""
    named = {
        path: set(PurePosixPath(path).with_suffix("").parts) & NAMES_THAT_TELL_NOTHING
        for path in [*source_trees, *test_trees]
    }
    assert {path: words for path, words in named.items() if words} == {}


def test_only_a_door_prints(source_trees: Mapping[str, ast.Module]) -> None:
    """Nothing under src calls print, but for the command line."""
    calls = [
        f"{path}:{node.lineno}"
        for path, tree in source_trees.items()
        if not path.startswith("src/steelyard/cli/")
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "print"
    ]
    assert calls == []
