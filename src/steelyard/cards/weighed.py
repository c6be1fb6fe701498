"""Which values of a rig file stand on a scale or a tape."""

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from steelyard.quantity import Value
from steelyard.rig import Rig
from steelyard.words.unstated import plainly


def weighed(rig: Rig) -> list[str]:
    """All values weighed or measured, in words, in the order of the file."""
    return list(_paths(rig, ""))


def _paths(fact: Any, path: str) -> Iterator[str]:
    if isinstance(fact, Value):
        if fact.kind == "scale" or fact.basis in ("weighed", "measured"):
            how = "measured" if fact.basis == "measured" else "weighed"
            yield f"{plainly(path)} {fact.text} ({how})"
        return
    if isinstance(fact, BaseModel):
        fields = type(fact).model_fields
        children = [(field.alias or name, getattr(fact, name)) for name, field in fields.items()]
    elif isinstance(fact, Mapping):
        children = list(fact.items())
    else:
        return
    for name, child in children:
        yield from _paths(child, f"{path}.{name}".lstrip("."))
