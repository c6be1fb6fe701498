"""Builds the generated pages of docs from the code; `make docs` writes them.

docs/rig.schema.json is the schema itself. docs/rig-file.md and docs/nomenclature.md have a top
written by hand and, below `MARK`, tables built here, so that they can be read without a site.
tests/house/test_docs_built.py holds all three to the code.
"""

import json
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "src"))

from steelyard.files.limits import LIMITS  # noqa: E402
from steelyard.files.schema import published_schema, rig_schema  # noqa: E402
from steelyard.quantity.units import EXAMPLES, NOUNS, UNITS  # noqa: E402
from steelyard.typical.sheet import kinds  # noqa: E402

MARK: Final = "<!-- built by docs/build.py from here on: change the code, then `make docs` -->\n"
Schema = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of one table of the rig file."""

    table: str
    name: str
    schema: Schema
    required: bool

    @property
    def path(self) -> str:
        """Table and key, as keys.toml names them."""
        return f"{self.table}.{self.name}"


def pages() -> dict[str, str]:
    """Every generated file by its path in the project, whole."""
    spelt_once = rig_schema(both_spellings=False)
    return {
        "docs/rig.schema.json": json.dumps(published_schema(), indent=1, ensure_ascii=False) + "\n",
        "docs/rig-file.md": under_top("docs/rig-file.md", reference(spelt_once)),
        "docs/nomenclature.md": under_top("docs/nomenclature.md", parameters()),
    }


def under_top(path: str, built: Iterator[str]) -> str:
    """The page's own hand-written top with the built lines below it."""
    top = (ROOT / path).read_text(encoding="utf-8").partition(MARK)[0]
    return top + MARK + "\n" + "\n".join(built) + "\n"


# --- nomenclature ---------------------------------------------------------------------------


def parameters() -> Iterator[str]:
    """Every kind of uncertain parameter: its path, symbol, scale, role and where it is stated."""
    yield "## Parameters"
    yield ""
    yield "What is believed of a rig is held as these, each normal on its scale. `*` stands for a"
    yield "name of the rig's own, a stage's key or an axle. The code reads the same table,"
    yield "`src/steelyard/typical/data/parameters.toml`."
    yield ""
    yield "| parameter | symbol | is | dimension | scale | bears on | stated |"
    yield "|---|---|---|---|---|---|---|"
    for path, kind in kinds().items():
        stated = kind.instead or (f"at `{kind.at}`" if kind.at else "by its own name")
        said = (kind.symbol, kind.meaning, kind.dimension, kind.scale, kind.role, stated)
        yield f"| `{path}` | {' | '.join(said)} |"


# --- the rig file ---------------------------------------------------------------------------


def reference(schema: Schema) -> Iterator[str]:
    """Units, then every table of the rig file with its keys."""
    yield from units()
    for table, paths in places(schema).items():
        yield ""
        yield f"### {header(paths[0])}"
        yield ""
        yield said(table, definition(schema, table))
        if len(paths) > 1:
            yield "The same keys stand in " + ", ".join(header(path) for path in paths[1:]) + "."
        yield ""
        yield "| key | meaning | where to find it | takes | example |"
        yield "|---|---|---|---|---|"
        yield from map(row, keys(schema, table))


def header(path: str) -> str:
    """A table's header as a rig file writes it."""
    if not path:
        return "Top of the file"
    return f"`[[{path[:-2]}]]`" if path.endswith("[]") else f"`[{path}]`"


def units() -> Iterator[str]:
    """Table of the units each kind of number may carry."""
    yield "## Units"
    yield ""
    yield "| kind of number | units | example |"
    yield "|---|---|---|"
    for dimension, known in UNITS.items():
        words = " ".join(f"`{unit}`" for unit in known)
        yield f"| {NOUNS[dimension].split(' ', 1)[1]} | {words} | {EXAMPLES[dimension]} |"
    yield ""
    yield from limits()
    yield "## Tables and keys"


def limits() -> Iterator[str]:
    """Table of how much each kind of file may hold."""
    yield "## How much a file may hold"
    yield ""
    yield "Every reader has bounds, and up to them takes time in proportion to what it reads."
    yield "Beyond one, the sentence names it. Text holds no control characters."
    yield ""
    yield "| at most | in |"
    yield "|---|---|"
    for limit in LIMITS.values():
        yield f"| {limit.most:,} {limit.what} | {limit.where} |"
    yield ""


def said(table: str, body: Schema) -> str:
    """What a table is, in a sentence."""
    if table == "Rig":
        return "`format = 1` is the first line of the file."
    return str(body.get("description", ""))


def definition(schema: Schema, table: str) -> Schema:
    """The schema of one table."""
    found: Schema = schema if table == "Rig" else schema["$defs"][table]
    return found


def keys(schema: Schema, table: str) -> list[Key]:
    """Every key of a table, in the order of the schema."""
    body = definition(schema, table)
    due = body.get("required", ())
    return [
        Key(table=table, name=name, schema=one, required=name in due)
        for name, one in body["properties"].items()
    ]


def inner(one: Schema) -> tuple[str, str] | None:
    """The table a key opens, and what stands after its path: nothing, a name, or a row's brackets.

    None for a key that holds a plain value.
    """
    if "$ref" in one:
        return str(one["$ref"]).rsplit("/", 1)[1], ""
    for choice in one.get("anyOf", ()):
        if "$ref" in choice:
            return inner(choice)
    for choice in one.get("patternProperties", {}).values():
        found = inner(choice)
        return (found[0], ".NAME") if found else None
    listed = one.get("items", {})
    return (str(listed["$ref"]).rsplit("/", 1)[1], "[]") if "$ref" in listed else None


def places(schema: Schema) -> dict[str, list[str]]:
    """Every table, with all paths at which it stands, in the order a reader meets them."""
    found: dict[str, list[str]] = {}
    _visit(schema, "Rig", "", found)
    return found


def _visit(schema: Schema, table: str, path: str, found: dict[str, list[str]]) -> None:
    found.setdefault(table, []).append(path)
    for key in keys(schema, table):
        opened = inner(key.schema)
        if opened is not None:
            here = f"{path}.{key.name}" if path else key.name
            _visit(schema, opened[0], here + opened[1], found)


def row(key: Key) -> str:
    """One line of a table of keys."""
    name = f"`{key.name}`" + (" (required)" if key.required else "")
    where = str(key.schema.get("x-where", ""))
    cells = (name, meaning(key), where, takes(key.schema), shown(example(key)))
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def meaning(key: Key) -> str:
    """What a key means, as the schema says. KeyError where nobody says it."""
    return str(key.schema["description"])


def takes(one: Schema) -> str:
    """What kind of value a key takes, in words."""
    opened = inner(one)
    if opened is not None:
        return {"": "table", ".NAME": "tables by name", "[]": "list of tables"}[opened[1]]
    plain = [choice for choice in one.get("anyOf", ()) if choice.get("type") != "null"]
    if "patternProperties" in one:
        return "tank levels by name"
    if "x-dimension" not in one and len(plain) == 1:
        return takes({**plain[0], "default": one.get("default")})
    return _plain(one)


def _plain(one: Schema) -> str:
    default = one.get("default")
    usual = "" if default in (None, []) else f"; {json.dumps(default)} when left out"
    if "x-dimension" in one:
        return NOUNS[one["x-dimension"]].split(" ", 1)[1]
    if "enum" in one:
        return ", ".join(f"`{word}`" for word in one["enum"]) + usual
    if "const" in one:
        return f"`{one['const']}`"
    return _by_type(one) + usual


def _by_type(one: Schema) -> str:
    if one["type"] == "array":
        each = takes(one["items"] if "items" in one else one["prefixItems"][0])
        many = f"{one['maxItems']} " if "maxItems" in one else ""
        return f"list of {many}{each}s"
    if one["type"] in ("integer", "number"):
        low = one.get("minimum", one.get("exclusiveMinimum"))
        word = "whole number" if one["type"] == "integer" else "number"
        return f"{word}, {low} to {one['maximum']}"
    if one["type"] == "boolean":
        return "`true` or `false`"
    return "name" if "pattern" in one else "text"


def example(key: Key) -> str:
    """An example of a key as it stands in a rig file; empty for a key that opens a table."""
    return toml(key.schema["examples"][0]) if "examples" in key.schema else ""


def shown(text: str) -> str:
    """An example as code, or nothing."""
    return f"`{text}`" if text else ""


def toml(value: Any) -> str:
    """A value as TOML writes it on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{name} = {toml(one)}" for name, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml(one) for one in value) + "]"
    return json.dumps(value, ensure_ascii=False)


def main() -> None:
    """Write every generated file."""
    for path, text in pages().items():
        (ROOT / path).write_text(text, encoding="utf-8")
        print(f"wrote {path}")


if __name__ == "__main__":
    main()
