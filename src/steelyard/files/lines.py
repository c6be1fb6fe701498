"""On which line every key of a TOML text stands. Loaded only when there is a fault to report."""

from collections.abc import Mapping
from typing import Any

import tree_sitter
import tree_sitter_toml

Path = tuple[str | int, ...]


def key_lines(text: str) -> Mapping[Path, int]:
    """1-based line of every table and key path in the text; tables of an array are numbered."""
    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
    tree = parser.parse(text.encode("utf-8"))
    lines: dict[Path, int] = {}
    arrays: dict[Path, int] = {}
    for node in tree.root_node.children:
        if node.type == "pair":
            _pair(node, (), lines)
        elif node.type in ("table", "table_array_element"):
            _table(node, lines, arrays)
    return lines


def _table(node: Any, lines: dict[Path, int], arrays: dict[Path, int]) -> None:
    keys = [child for child in node.children if child.type.endswith("key")]
    if not keys:
        return
    path = _key(keys[0])
    if node.type == "table_array_element":
        arrays[path] = arrays.get(path, -1) + 1
        path = (*path, arrays[path])
    _note(path, node, lines)
    for child in node.children:
        if child.type == "pair":
            _pair(child, path, lines)


def _pair(node: Any, prefix: Path, lines: dict[Path, int]) -> None:
    path = (*prefix, *_key(node.children[0]))
    _note(path, node, lines)
    for child in node.children[1:]:
        _value(child, path, lines)


def _value(node: Any, path: Path, lines: dict[Path, int]) -> None:
    if node.type == "inline_table":
        for child in node.children:
            if child.type == "pair":
                _pair(child, path, lines)
    elif node.type == "array":
        values = [child for child in node.children if child.type not in ("[", "]", ",", "comment")]
        for number, child in enumerate(values):
            _note((*path, number), child, lines)
            _value(child, (*path, number), lines)


def _note(path: Path, node: Any, lines: dict[Path, int]) -> None:
    for end in range(1, len(path) + 1):
        lines.setdefault(path[:end], node.start_point[0] + 1)


def _key(node: Any) -> Path:
    if node.type == "dotted_key":
        return tuple(part for child in node.children for part in _key(child))
    if node.type in ("bare_key", "quoted_key"):
        return (node.text.decode("utf-8").strip("\"'"),)
    return ()
