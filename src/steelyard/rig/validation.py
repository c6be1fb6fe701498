"""What a model refuses, as faults: where, what is due there, what was found."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any, Final, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from steelyard.fault import Fault, Path, near, quoted
from steelyard.quantity.fields import Of
from steelyard.quantity.units import EXAMPLES, NOUNS

NAME: Final = "[key]"
"""The last part of a path where it is a table's name that is at fault."""
_NAMES: Final = "a name of letters, digits, spaces, - or _, at most 48"
_DUE: Final = {
    "bool_parsing": "true or false",
    "bool_type": "true or false",
    "dict_type": "a table",
    "finite_number": "a finite number",
    "float_parsing": "a number",
    "float_type": "a number",
    "greater_than": "more than {gt}",
    "greater_than_equal": "at least {ge}",
    "int_from_float": "a whole number",
    "int_parsing": "a whole number",
    "int_type": "a whole number",
    "less_than": "less than {lt}",
    "less_than_equal": "at most {le}",
    "list_type": "a list",
    "literal_error": "one of {expected}",
    "mapping_type": "a table",
    "model_attributes_type": "a table",
    "model_type": "a table",
    "string_pattern_mismatch": _NAMES,
    "string_too_long": "at most {max_length} letters",
    "string_too_short": "at least {min_length} letters",
    "string_type": "text in quotes",
    "too_long": "at most {max_length} of them",
    "too_short": "at least one",
    "tuple_type": "a list",
    "union_tag_invalid": "one of {expected_tags}",
    "union_tag_not_found": "a key {discriminator}",
}
"""What is due, by the validator's kind of error; its own words for a kind that is not here."""
_ALIKE: Final = {
    **dict.fromkeys(("rating", "axle_rating"), "gawr"),
    **dict.fromkeys(("gvm", "mtplm", "atm", "mam"), "gvwr"),
    "gcm": "gcwr",
    **dict.fromkeys(("noseweight", "pin_weight", "hitch_weight"), "tongue_weight"),
}
"""Words of plates and data sheets, and the key that each stands under."""
KEYS: Final = 12
"""Named where none is near."""
_WORDS: Final = re.compile("'([^']*)'")


def validation_faults(error: ValidationError, root: type[BaseModel]) -> list[Fault]:
    """Each fault of a model once, at its path."""
    found = error.errors(include_url=False)
    faults = (_fault(one, root) for one in found)
    return list(dict.fromkeys(replace(one, path=_written(one.path)) for one in faults))


def _written(path: Path) -> Path:
    """A path as it stands in the file: without the kind that follows a reading's number."""
    last = len(path) - 1
    return tuple(
        part
        for at, part in enumerate(path)
        if not (0 < at < last and isinstance(part, str) and isinstance(path[at - 1], int))
    )


def _fault(one: Any, root: type[BaseModel]) -> Fault:
    kind, ctx, path = one["type"], one.get("ctx", {}), tuple(one["loc"])
    if kind == "fault":
        own: Fault = ctx["fault"]
        return replace(own, path=(*path, *own.path))
    if kind == "extra_forbidden":
        return _unknown_key(path, root)
    if path[-1:] == (NAME,):
        return Fault(path=path[:-1], due=_NAMES, found=quoted(one["input"]))
    due = _DUE.get(kind, "{msg}").format(msg=one["msg"][:120], **ctx)
    due = _unsaid(path, root) if kind == "missing" else due
    found = "none" if kind in ("missing", "too_short") else quoted(one["input"])
    words = _WORDS.findall(ctx["expected"]) if kind == "literal_error" else ()
    return Fault(path=path, due=due, found=found, hint=near(str(one["input"]), words))


def _unknown_key(path: Path, root: type[BaseModel]) -> Fault:
    known, found = keys_at(path[:-1], root), str(path[-1])
    alike = _ALIKE.get(found.lower(), found)
    hint = near(alike if alike in known else found, known)
    more = f" and {len(known) - KEYS} more" if len(known) > KEYS else ""
    due = "a known key" if hint else f"one of {', '.join(known[:KEYS])}{more}"
    return Fault(path=path, due=due, found=quoted(found), hint=hint)


def _unsaid(path: Path, root: type[BaseModel]) -> str:
    """What is due where a key that must be there is not."""
    field = field_at(path, root)
    options = get_args(field.annotation) if field else ()
    words = [word for word in options if isinstance(word, str)]
    if words:
        return f"one of {', '.join(words)}"
    quantity = quantity_of(field) if field else None
    if quantity is not None:
        return f"{NOUNS[quantity.dimension]} such as {EXAMPLES[quantity.dimension]}"
    return (field and field.description) or "a value"


def keys_at(path: Path, root: type[BaseModel]) -> list[str]:
    """The keys of the table at a path; none where there is no such table."""
    model = model_at(path, root)
    fields = model.model_fields.items() if model else ()
    return [field.alias or key for key, field in fields]


def field_at(path: Path, root: type[BaseModel]) -> FieldInfo | None:
    """The field that the key at `path` is read into; None where there is no such key."""
    model = model_at(path[:-1], root)
    for key, field in model.model_fields.items() if model else ():
        if path[-1] in (key, field.alias):
            return field
    return None


def quantity_at(path: Path, root: type[BaseModel]) -> Of | None:
    """What the quantity at `path` must be; None where no quantity stands there."""
    field = field_at(path, root)
    return None if field is None else quantity_of(field)


def quantity_of(field: FieldInfo) -> Of | None:
    """What the quantity of a field must be; None where it is none."""
    return next(_marks((field.annotation, *field.metadata)), None)


def _marks(parts: Iterable[Any]) -> Iterator[Of]:
    for part in parts:
        if isinstance(part, Of):
            yield part
        yield from _marks(get_args(part))


def model_at(path: Path, root: type[BaseModel]) -> type[BaseModel] | None:
    """The model that the table at `path` is read into."""
    found: Any = root
    for part in path:
        if isinstance(found, type) and issubclass(found, BaseModel):
            fields = {f.alias or key: f.annotation for key, f in found.model_fields.items()}
            found = _inner(fields.get(str(part)))
        else:
            found = _within(found, part)
    return found if isinstance(found, type) and issubclass(found, BaseModel) else None


def _within(annotation: Any, part: str | int) -> Any:
    """What stands at a key or number of a collection: of several kinds, the one whose name the next
    part of the path is."""
    kinds = list(_all_models(annotation))
    named = [kind for kind in kinds if _kind(kind) == part]
    if len(kinds) > 1 and not named:
        return annotation
    return next(iter(named or kinds), None)


def _kind(model: type[BaseModel]) -> Any:
    """The name by which a model is told from others in its place."""
    field = model.model_fields.get("kind")
    return field.default if field else None


def _all_models(annotation: Any) -> Iterator[type[BaseModel]]:
    """Every model inside an annotation, however deep."""
    for one in get_args(annotation):
        if isinstance(one, type) and issubclass(one, BaseModel):
            yield one
        else:
            yield from _all_models(one)


def _inner(annotation: Any) -> Any:
    """A model inside `Model | None`; a mapping or a plain model stays as it is."""
    options = get_args(annotation)
    return next(_models(annotation), annotation) if type(None) in options else annotation


def _models(annotation: Any) -> Iterator[type[BaseModel]]:
    options = get_args(annotation)
    return (o for o in options if isinstance(o, type) and issubclass(o, BaseModel))
