"""The rig file as a form: every key of every table, made from the schema, so none is forgotten."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Final, Literal

from steelyard.files.changes import Data, at, put
from steelyard.files.schema import rig_schema
from steelyard.quantity import Dimension
from steelyard.quantity.units import EXAMPLES
from steelyard.rig import SEAT_ROWS

Sort = Literal["quantity", "level", "choice", "names", "size", "rows", "plain"]
Schema = Mapping[str, Any]

NAMES: Final = {
    "Stage.people": "people",
    "Stage.items": "items",
    "Stage.without": "items",
    "Stage.bought": "items",
    "Stage.used_up": "items",
    "Item.together": "items",
    "Item.apart": "items",
    "Item.reachable_at": "stages",
    "Place.blocked_at": "stages",
}
"""Lists of names, and the table the names are of."""
ONE_NAME: Final = {
    "Item.place": "places",
    "SpringBars.set_at": "stages",
    "Felt.stage": "stages",
}
"""Keys that hold one name of another table."""
LETTERS: Final = ("gvwr", "gcwr", "gawr", "gtm", "cg", "d", "s")
"""Words of keys that are said letter by letter."""
FAR: Final = '"185 mi" or "300 km"'
"""A length as one writes it of a road."""
LEVELS: Final = {"Stage.tanks": "trailer.tanks", "Stage.vehicle_tanks": "vehicle.tanks"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One key of the rig file as a person fills it in.

    path: keys from the top; said: what the file holds, None where nothing; options: what can be
    chosen; open: whether an empty list says something else than no list; holds: what a weight may
    be said to include; counts: whether it is a number without a unit.
    """

    path: tuple[str, ...]
    key: str
    sort: Sort
    said: Any
    means: str
    where: str
    dimension: Dimension | None = None
    example: str = ""
    options: tuple[str, ...] = ()
    open: bool = False
    holds: tuple[str, ...] = ()
    usual: Any = None
    required: bool = False
    counts: bool = False

    @property
    def at(self) -> str:
        """The path with dots, as faults and parameters name it."""
        return ".".join(self.path)

    @property
    def called(self) -> str:
        """`tow rating`, `GVWR`: the key as a person says it."""
        return spoken(self.key)

    @property
    def weighs(self) -> bool:
        """Whether it can be on a brochure's, a label's or a scale's word."""
        return self.dimension == "mass" and "rating" not in self.key


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of the rig file with its fields; `named` where its name is the user's own."""

    path: tuple[str, ...]
    model: str
    fields: tuple[Field, ...]
    named: bool = False
    optional: bool = False

    @property
    def at(self) -> str:
        """The path with dots."""
        return ".".join(self.path)


def as_typed(field: Field) -> str:
    """What the file holds as a person would type it."""
    said = field.said
    if said is None:
        return ""
    if isinstance(said, bool):
        return "yes" if said else "no"
    if field.sort == "size":
        return " x ".join(str(one) for one in said)
    if field.sort == "rows":
        return "\n".join(f"{one.get('pressure')}: {one.get('load')}" for one in said)
    if isinstance(said, Mapping):
        spread = said.get("spread")
        return f"{said.get('value', '')}" + (f" +- {spread}" if spread else "")
    return "" if field.sort == "names" else str(said)


def spoken(path: str) -> str:
    """`vehicle front GAWR`: keys, dots or not between them, as a person says them."""
    words = path.replace(".", " ").replace("_", " ").split()
    return " ".join(word.upper() if word in LETTERS else word for word in words)


@cache
def schema() -> Schema:
    """The schema, worked out once."""
    return rig_schema(both_spellings=False)


def tables(data: Data) -> Iterator[Table]:
    """Every table that the data has or could have, in the order of the schema."""
    yield from _tables(data, "Rig", (), named=False, optional=False)


def fields(data: Data) -> Iterator[Field]:
    """Every field of every table."""
    for table in tables(data):
        yield from table.fields


def field_at(data: Data, path: str) -> Field | None:
    """The field that a dotted path names; None where it is none of the file. A seat that every
    class knows, and the one stage of a file without any, need not stand in the file yet."""
    parts = path.split(".")
    if parts[:2] == ["vehicle", "seats"] and len(parts) == 4 and parts[2] in SEAT_ROWS:
        data = _with(data, parts[:3])
    elif parts[:2] == ["stages", "as-described"] and not at(data, ("stages",)):
        data = _with(data, parts[:2])
    return next((one for one in fields(data) if one.at == path), None)


def _with(data: Data, path: Sequence[str]) -> Data:
    """The data with a table at a path, empty unless it is there."""
    return put(data, path, at(data, path) or {})


def body(model: str) -> Schema:
    """The schema of one model."""
    found: Schema = schema() if model == "Rig" else schema()["$defs"][model]
    return found


def below(one: Schema) -> tuple[str, str] | None:
    """The model behind a key, and how: "" one table, "names" tables by name, "rows" a list."""
    for choice in (one, *one.get("anyOf", ())):
        if "$ref" in choice:
            return str(choice["$ref"]).rsplit("/", 1)[1], ""
    for choice in one.get("patternProperties", {}).values():
        if "$ref" in choice:
            return str(choice["$ref"]).rsplit("/", 1)[1], "names"
    rows = one.get("items", {})
    return (str(rows["$ref"]).rsplit("/", 1)[1], "rows") if "$ref" in rows else None


def named_models() -> dict[str, str]:
    """Tables of the user's own names, by dotted path without names: "places" to "Place"."""
    return dict(_named("Rig", ()))


def _named(model: str, path: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for key, one in body(model)["properties"].items():
        inner = below(one)
        if inner and inner[1] == "names":
            yield ".".join((*path, key)), inner[0]
        elif inner and inner[1] == "":
            yield from _named(inner[0], (*path, key))


def _tables(
    data: Data, model: str, path: tuple[str, ...], *, named: bool, optional: bool
) -> Iterator[Table]:
    mine = at(data, path) if path else data
    mine = mine if isinstance(mine, Mapping) else {}
    keys = body(model)["properties"]
    yield Table(
        path=path,
        model=model,
        fields=tuple(_fields(data, model, path, mine)),
        named=named,
        optional=optional,
    )
    for key, one in keys.items():
        found = below(one)
        if found and found[1] == "":
            loose = "anyOf" in one
            yield from _tables(data, found[0], (*path, key), named=False, optional=loose)
        elif found and found[1] == "names":
            for name in mine.get(key, {}):
                where = (*path, key, name)
                yield from _tables(data, found[0], where, named=True, optional=False)


def _fields(data: Data, model: str, path: tuple[str, ...], mine: Data) -> Iterator[Field]:
    due = body(model).get("required", ())
    for key, one in body(model)["properties"].items():
        inner, word = below(one), f"{model}.{key}"
        if (inner and inner[1] != "rows") or word == "Rig.format":
            continue
        if word in LEVELS:
            yield from _levels(data, (*path, key), one, word)
            continue
        yield Field(
            path=(*path, key),
            key=key,
            said=mine.get(key),
            means=one.get("description", ""),
            where=one.get("x-where", ""),
            holds=tuple(one.get("x-includes", ())),
            usual=one.get("default"),
            required=key in due,
            **_kind(data, word, one),
        )


def _kind(data: Data, word: str, one: Schema) -> dict[str, Any]:
    """Sort, dimension, options and example of a field."""
    choices = [one, *one.get("anyOf", ())]
    loose = any(choice.get("type") == "null" for choice in choices)
    dimension = next((c["x-dimension"] for c in choices if "x-dimension" in c), None)
    if dimension:
        example = FAR if word == "Stage.distance" else EXAMPLES[dimension]
        return {"sort": "quantity", "dimension": dimension, "example": example}
    if word in NAMES:
        known = tuple(at(data, (NAMES[word],)) or ())
        return {"sort": "names", "options": known, "open": loose}
    if word in ONE_NAME:
        return {"sort": "choice", "options": tuple(at(data, (ONE_NAME[word],)) or ())}
    words = next((tuple(c["enum"]) for c in choices if "enum" in c), ())
    if any(choice.get("type") == "boolean" for choice in choices):
        words = ("yes", "no")
    if words:
        return {"sort": "choice", "options": words}
    if word == "Tyres.table":
        return {"sort": "rows", "example": "50 psi: 2150 lb"}
    if word == "Item.size":
        return {"sort": "size", "example": "6 ft x 2 ft x 3 ft"}
    if word == "Person.seat":
        seats = {**SEAT_ROWS, **(at(data, ("vehicle", "seats")) or {})}
        return {"sort": "choice", "options": tuple(seats)}
    counts = any(choice.get("type") in ("integer", "number") for choice in choices)
    return {"sort": "plain", "counts": counts}


def _levels(data: Data, path: tuple[str, ...], one: Schema, word: str) -> Iterator[Field]:
    tanks = [*(at(data, LEVELS[word].split(".")) or ())]
    fuelled = word.endswith("vehicle_tanks") and not at(data, ("vehicle", "electric"))
    tanks += ["fuel"] if fuelled and "fuel" not in tanks else []
    for tank in tanks:
        yield Field(
            path=(*path, tank),
            key=f"{tank} tank",
            sort="level",
            said=at(data, (*path, tank)),
            means=f"{one.get('description', '')}: {tank}",
            where=one.get("x-where", ""),
            example='"full", "empty", "50 %" or "20 gal"',
        )
