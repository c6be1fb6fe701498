"""The published JSON schema of the rig file."""

from typing import Any

from steelyard.rig import FORMAT, Rig


def rig_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a rig file, generated from the models that read it."""
    schema = Rig.model_json_schema(by_alias=True)
    schema["required"] = sorted({*schema.get("required", ()), "format"})
    _close(schema)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Steelyard rig file, format {FORMAT}",
        **{key: value for key, value in schema.items() if key != "title"},
    }


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
