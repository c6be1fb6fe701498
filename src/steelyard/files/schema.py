"""The published JSON schema of the rig file, with what each key means and where it is found."""

import json
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

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


LINES: Final = 5
"""A shape this long or longer, as it is printed, stands once."""
SHORT: Final = 20
"""Letters of a description that can be a name."""
OF: Final = "x-of"
"""While shapes are named: the one schema that a key is held to, beside what is said of it."""
ONE: Final = ("items", "additionalProperties", OF)
MANY: Final = ("anyOf", "allOf", "oneOf", "prefixItems")
MAPS: Final = ("properties", "patternProperties", "$defs")
SAID: Final = ("title", "description", "examples", "x-where", "x-includes")


def shared(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema with every repeated shape under `$defs`, by a name of what it describes.

    A file in TOML has no null, so none is allowed for.
    """
    plain = _without_null(schema)
    seen = Counter(_key(node) for node in _nodes(plain))
    twice = {key for key, count in seen.items() if count > 1 and key.count("\n") + 1 >= LINES}
    names: dict[str, str] = {}
    defs: dict[str, Any] = {}

    def short(node: Any, hint: str) -> Any:
        if not isinstance(node, dict):
            return node
        key = _key(node)
        if key not in twice:
            return _each(node, hint, short)
        if key not in names:
            names[key] = _name(node, hint, {*defs, *plain.get("$defs", ())})
            defs[names[key]] = None  # its place, before what it is made of
            defs[names[key]] = _each(node, hint, short)
        return {"$ref": f"#/$defs/{names[key]}"}

    found: dict[str, Any] = _each(plain, "", short)
    whole: dict[str, Any] = _merged(
        {**found, "$defs": {**found.get("$defs", {}), **dict(sorted(defs.items()))}}
    )
    return whole


def _merged(node: Any, hint: str = "") -> Any:
    """What a key is held to, put beside what is said of it."""
    if not isinstance(node, dict):
        return node
    found = _each(node, hint, _merged)
    return {**found.pop(OF), **found} if OF in found else found


def _key(node: Any) -> str:
    return json.dumps(node, indent=1, sort_keys=True)


def _name(node: dict[str, Any], hint: str, taken: set[str]) -> str:
    """The quantity it holds, else the key under which it was first met; numbered where taken."""
    value = node.get("properties", {}).get("value") or (node.get("anyOf") or [node])[0]
    about = value.get("description", "").partition(" with ")[0]
    about = about.removeprefix("a ").removeprefix("an ") if len(about) < SHORT else ""
    words = "".join(x if x.isalpha() else " " for x in about or hint)
    name = words.title().replace(" ", "") or "Name"
    name = f"{name}Table" if node.get("type") == "object" else name
    rest = (f"{name}{number}" for number in range(2, len(taken) + 3))
    return name if name not in taken else next(one for one in rest if one not in taken)


def _nodes(node: Any) -> Iterator[dict[str, Any]]:
    """Every schema inside a schema, itself among them."""
    if isinstance(node, dict):
        yield node
        for _, inner in _inner(node):
            yield from _nodes(inner)


def _inner(node: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    for word in ONE:
        yield word, node.get(word)
    for word in MANY:
        yield from ((word, one) for one in node.get(word, ()))
    for word in MAPS:
        yield from node.get(word, {}).items()


def _each(node: dict[str, Any], hint: str, change: Any) -> dict[str, Any]:
    """The schema with every schema right inside it changed; a map's keys are the hints."""
    found = dict(node)
    for word in ONE:
        if isinstance(node.get(word), dict):
            found[word] = change(node[word], hint)
    for word in MANY:
        if word in node:
            found[word] = [change(one, hint) for one in node[word]]
    for word in MAPS:
        if word in node:
            named = word != "patternProperties"
            found[word] = {key: change(x, key if named else hint) for key, x in node[word].items()}
    return found


def _without_null(node: Any, hint: str = "") -> Any:
    if not isinstance(node, dict):
        return node
    found = _each(node, hint, _without_null)
    kept = [one for one in found.get("anyOf", ()) if one != {"type": "null"}]
    if len(kept) < len(found.get("anyOf", ())):
        said = {key: found[key] for key in SAID if key in found}
        return {**said, OF: kept[0]} if len(kept) == 1 else {**said, "anyOf": kept}
    return {
        key: one
        for key, one in found.items()
        if key != "default" or (one is not None and not isinstance(one, dict))
    }
