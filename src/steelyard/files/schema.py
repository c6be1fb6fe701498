"""The published JSON schema of the rig file, with what each key means and where it is found."""

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from steelyard.files.schema_references import shared
from steelyard.rig import FORMAT, Rig
from steelyard.rig.spelling import ALSO, KEY

WORDS: Final = {
    "meaning": "description",
    "where": "x-where",
    "includes": "x-includes",
    "example": "examples",
}
"""Tables of keys.toml, and the schema's key that each fills."""


@cache
def key_words() -> Mapping[str, Mapping[str, Any]]:
    """keys.toml: by kind of word, then by table and key (or key alone)."""
    return tomllib.loads(Path(__file__).with_name("keys.toml").read_text("utf-8"))


def rig_schema(*, both_spellings: bool = True) -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a rig file, generated from the models that read it.

    `x-where` says where on the real rig a key's value is found, `x-includes` what a weight may be
    said to hold, `x-dimension` what kind of quantity it is.
    """
    schema = Rig.model_json_schema(by_alias=True)
    schema["required"] = sorted({*schema.get("required", ()), "format"})
    _close(schema)
    for table, key, one in _properties(schema):
        _say(one, table, key)
    for body in schema["$defs"].values() if both_spellings else ():
        if KEY in body["properties"]:
            again = {**body["properties"][KEY], "description": f"another spelling of {KEY}"}
            body["properties"][ALSO] = again
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Steelyard rig file, format {FORMAT}",
        **{key: value for key, value in schema.items() if key != "title"},
    }


def published_schema() -> dict[str, Any]:
    """The rig file's schema as programs get it: what it says twice it says once, by a name."""
    return shared(rig_schema())


def _properties(schema: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Every key of every table: the table's name, the key, its schema."""
    for table, body in {"Rig": schema, **schema["$defs"]}.items():
        for key, one in body["properties"].items():
            yield table, key, one


def _say(one: dict[str, Any], table: str, key: str) -> None:
    for kind, target in WORDS.items():
        words = key_words()[kind]
        found = words.get(f"{table}.{key}", words.get(key))
        if found is not None:
            one.setdefault(target, [found] if kind == "example" else found)


def _close(node: Any) -> None:
    """A table of named things takes no name that the reader would refuse."""
    if isinstance(node, dict):
        if "patternProperties" in node:
            node["additionalProperties"] = False
        for inner in node.values():
            _close(inner)
    elif isinstance(node, list):
        for inner in node:
            _close(inner)
