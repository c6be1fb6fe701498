"""Turning validation errors into sentences a person can act on."""

from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from typing import Any, Final, get_args

from pydantic import BaseModel, ValidationError

Path = tuple[str | int, ...]
NAME: Final = "[key]"
"""The last part of a path where it is a table's name that is at fault."""
SHOWN: Final = 10
"""At most this many faults are told at once."""


class FileFaultError(Exception):
    """A file that cannot be used; `sentences` holds one for each fault."""

    def __init__(self, sentences: list[str]) -> None:
        super().__init__("\n".join(sentences))
        self.sentences = tuple(sentences)


def from_validation(
    error: ValidationError, text: str, name: str, root: type[BaseModel]
) -> FileFaultError:
    """All faults in file order, with lines from a syntax tree that is loaded only now."""
    from steelyard.files.lines import key_lines

    lines = key_lines(text)
    found = []
    for one in error.errors(include_url=False):
        path = _path(one)
        line = _line(path, lines)
        found.append((line or 0, _sentence(one, path, name, line, root)))
    ordered = [sentence for _, sentence in sorted(found, key=lambda pair: pair[0])]
    unique = list(dict.fromkeys(ordered))
    more = len(unique) - SHOWN
    tail = [f"{name}: and {more} more faults"] if more > 0 else []
    return FileFaultError(unique[:SHOWN] + tail)


def _path(one: Any) -> Path:
    own = one.get("ctx", {}).get("path")
    return tuple(own.split(".")) if own else tuple(one["loc"])


def _line(path: Path, lines: Mapping[Path, int]) -> int | None:
    """Line of the key, else of the nearest table around it."""
    for end in range(len(path), 0, -1):
        if path[:end] in lines:
            return lines[path[:end]]
    return None


def _sentence(one: Any, path: Path, name: str, line: int | None, root: type[BaseModel]) -> str:
    place = f"{name}, line {line}" if line else name
    where = path[:-1] if path[-1:] == (NAME,) else path
    return f"{place}, {dotted(where)}: {_why(one, path, root)}"


def dotted(path: Path) -> str:
    """`items.bikes.weight`, `tyres.table[2]`."""
    words = ""
    for part in path:
        words += f"[{part}]" if isinstance(part, int) else (f".{part}" if words else str(part))
    return words[:120] or "the file"


def _why(one: Any, path: Path, root: type[BaseModel]) -> str:
    kind, ctx = one["type"], one.get("ctx", {})
    if kind in ("quantity", "rig"):
        return str(ctx["why"])
    if kind == "extra_forbidden":
        return _unknown_key(path, root)
    if kind == "missing":
        return f"expected a value, found none{_choices(path, root)}"
    if kind == "literal_error":
        return f"expected one of {ctx['expected']}, found {_short(one['input'])}"
    if kind == "string_pattern_mismatch" or path[-1:] == (NAME,):
        return f"expected a name of letters, digits, spaces, - or _, found {_short(one['input'])}"
    if kind == "too_short":
        return "expected at least one, found none"
    if kind in ("model_type", "model_attributes_type", "dict_type", "mapping_type"):
        return f"expected a table, found {_short(one['input'])}"
    due = one["msg"]
    for said in ("Input should be ", "String should have ", "Value error, "):
        due = due.replace(said, "")
    return f"expected {due[:1].lower() + due[1:]}, found {_short(one['input'])}"


def _short(found: Any) -> str:
    if isinstance(found, dict):
        return "a table"
    shown = repr(found)
    return shown if len(shown) <= 60 else shown[:57] + "..."


def _unknown_key(path: Path, root: type[BaseModel]) -> str:
    known = list(_keys_at(path[:-1], root))
    close = get_close_matches(str(path[-1]), known, n=1, cutoff=0.5)
    if close:
        return f'expected a known key, did you mean "{close[0]}"?'
    return f"expected one of {', '.join(known[:12])}, found {_short(path[-1])}"


def _choices(path: Path, root: type[BaseModel]) -> str:
    field = _field(path, root)
    words = [word for word in get_args(field) if isinstance(word, str)]
    return f" (one of {', '.join(words)})" if words else ""


def _keys_at(path: Path, root: type[BaseModel]) -> Iterator[str]:
    model = _model(path, root)
    if model is not None:
        for key, field in model.model_fields.items():
            yield field.alias or key


def _field(path: Path, root: type[BaseModel]) -> Any:
    model = _model(path[:-1], root)
    for key, field in model.model_fields.items() if model else ():
        if path[-1] in (key, field.alias):
            return field.annotation
    return None


def _model(path: Path, root: type[BaseModel]) -> type[BaseModel] | None:
    """The model that the table at `path` is read into."""
    found: Any = root
    for part in path:
        if isinstance(found, type) and issubclass(found, BaseModel):
            fields = {f.alias or key: f.annotation for key, f in found.model_fields.items()}
            found = _inner(fields.get(str(part)))
        else:
            found = _inner(_value_type(found))
    return found if isinstance(found, type) and issubclass(found, BaseModel) else None


def _inner(annotation: Any) -> Any:
    """A model inside `Model | None`; a mapping or a plain model stays as it is."""
    options = get_args(annotation)
    for option in options if type(None) in options else ():
        if isinstance(option, type) and issubclass(option, BaseModel):
            return option
    return annotation


def _value_type(annotation: Any) -> Any:
    options = get_args(annotation)
    models = [o for o in options if isinstance(o, type) and issubclass(o, BaseModel)]
    return models[0] if models else None
