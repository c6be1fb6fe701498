"""Builds the generated pages of docs from the code; `make docs` writes them.

docs/rig.schema.json is the schema itself. docs/rig-file.md, docs/validation.md and
docs/nomenclature.md have a top written by hand and, below `MARK`, tables built here.
tests/house/test_docs_built.py holds all four to the code.
"""

import ast
import json
import re
import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "src"))

from steelyard.files.demo import demo_rigs  # noqa: E402
from steelyard.files.limits import LIMITS  # noqa: E402
from steelyard.files.schema import published_schema, rig_schema  # noqa: E402
from steelyard.quantity.units import EXAMPLES, NOUNS, UNITS  # noqa: E402
from steelyard.typical import kinds  # noqa: E402

MARK: Final = "<!-- built by docs/build.py from here on: change the code, then `make docs` -->\n"
Schema = Mapping[str, Any]

EXAMPLE: Final = {
    "EmptyTrailer.cg": '"13 ft 4 in +- 6 in"',
    "EmptyTrailer.cg_height": '"42 in"',
    "EmptyTrailer.cg_offset": '"1 in"',
    "Equipment.height": '"30 in"',
    "Equipment.offset": '"-2 ft"',
    "Equipment.station": '"20 in"',
    "Equipment.weight": '"55 lb"',
    "Hitch.ball_height": '"23.5 in"',
    "Hitch.clearance": '"13 in"',
    "Felt.date": '"2026-05-03"',
    "Felt.lasting": '"1 h"',
    "Felt.speed": '"62 mph"',
    "Felt.stage": '"back-home"',
    "Felt.swings": '"2 to 3"',
    "Felt.title": '"a truck passed"',
    "Felt.what": '"settled"',
    "Felt.wrong": '"20 %"',
    "HitchPart.drop": '"4 in"',
    "HitchPart.height": '"21 1/2 in"',
    "HitchPart.opening": '"2 in"',
    "HitchPart.pin": '"5/8 in"',
    "HitchPart.rise": '"2 3/4 in"',
    "HitchPart.s_value": '"90 kg"',
    "HitchPart.shank": '"2 in"',
    "HitchPart.title": '"two-inch shank"',
    "HitchPart.station": '"205 in"',
    "Item.apart": '["firewood"]',
    "Item.fixed": "true",
    "Item.front_wheels": '"4 ft 2 in"',
    "Item.height": '"4 ft"',
    "Item.importance": "8",
    "Item.not_with_people": "true",
    "Item.offset": '"18 in"',
    "Item.outside_only": "true",
    "Item.rear_wheels": '"2 ft 4 in"',
    "Item.reachable_at": '["first-night"]',
    "Item.size": '["6 ft", "2 ft", "3 ft"]',
    "Item.slides": "true",
    "Item.title": '"two bicycles"',
    "Item.together": '["bedding"]',
    "Item.upright": "true",
    "Jack.rating": '"2000 lb"',
    "Jack.blocks": '"4 in"',
    "Jack.drop_leg": '"9 in"',
    "Jack.flange": '"20 in"',
    "Jack.retracted": '"11 in"',
    "Jack.station": '"18 in"',
    "Jack.travel": '"18 in"',
    "OneAxle.gawr": '"3600 lb"',
    "OneAxle.rate": '"1100 lb/in"',
    "OneAxle.share": '"50 %"',
    "OneAxle.station": '"13 ft 9 in"',
    "Place.blocked_at": '["leaving-home"]',
    "Place.clearance": '"6 ft 6 in"',
    "Place.height": '"28 in"',
    "Place.offset": '"-2 ft"',
    "Place.width": '"7 ft"',
    "Seat.height": '"39 in"',
    "Seat.offset": '"15 in"',
    "Seat.station": '"61 in"',
    "SwayControl.moment": '"150 N m"',
    "SwayControl.title": '"the bar on the left"',
    "SpringBars.arm": '"28 in"',
    "SpringBars.tip_rate": '"250 lb/in"',
    "Stage.bought": '["firewood"]',
    "Stage.distance": '"185 mi"',
    "Stage.grade": '"3 deg"',
    "Stage.items": '["bikes", "bedding"]',
    "Stage.people": '["Ada"]',
    "Stage.to_black": '"20 %"',
    "Stage.used_up": '["firewood"]',
    "Stage.water_used": '"18 gal"',
    "Trailer.braked_axles": "2",
    "Trailer.breakaway": "true",
    "Trailer.frame_angle": '"50 deg"',
    "Trailer.front_width": '"84 in"',
    "Trailer.nose_underside": '"66 in"',
    "Trailer.rear_clearance": '"18 in"',
    "Trailer.gtm": '"2900 kg"',
    "Trailer.length": '"26 ft 2 in"',
    "Trailer.roof_height": '"11 ft"',
    "Trailer.width": '"96 in"',
    "TrailerAxles.rate": '"1100 lb/in"',
    "TrailerAxles.track": '"82 in"',
    "TrailerAxles.unsprung": '"270 lb"',
    "TrailerTank.length": '"3 ft"',
    "TrailerTank.offset": '"-1 ft"',
    "TyreRow.load": '"2540 lb"',
    "TyreRow.pressure": '"65 psi"',
    "Tyres.count": "4",
    "Tyres.dual_load_index": "119",
    "Tyres.max_load": '"2540 lb"',
    "Tyres.max_load_dual": '"2830 lb"',
    "Tyres.placard_pressure": '"35 psi"',
    "Tyres.rate": '"1500 lb/in"',
    "Tyres.size": '"ST225/75R15"',
    "Tyres.speed_rating": '"75 mph"',
    "Tyres.table": '[{ pressure = "50 psi", load = "2150 lb" }]',
    "Tyres.wheel_rating": '"2830 lb"',
    "Vehicle.accessories": '"140 lb"',
    "Vehicle.accessories_station": '"152 in"',
    "Vehicle.bed_rail_height": '"58 in"',
    "Vehicle.cab_to_axle": '"46 in"',
    "Vehicle.cg": '"61 in"',
    "Vehicle.cg_height": '"28 in"',
    "Vehicle.cg_offset": '"0.5 in"',
    "Vehicle.drive_force": '"4000 lbf"',
    "Vehicle.engine_power": '"310 hp"',
    "Vehicle.distribution_from": '"5000 lb"',
    "Vehicle.front_overhang": '"38 in"',
    "Vehicle.max_trailer_ratio": "0.85",
    "Vehicle.rear_overhang": '"50 in"',
    "Vehicle.roll_share": '"60 %"',
    "Vehicle.roof_height": '"77 in"',
    "Vehicle.tow_rating_unbraked": '"3000 lb"',
    "Vehicle.weight": '{ value = "5380 lb", kind = "scale", includes = ["fuel"] }',
    "Vehicle.width": '"80 in"',
    "VehicleAxle.helper_gap": '"2 in"',
    "VehicleAxle.helper_rate": '"300 lb/in"',
    "VehicleAxle.rate": '"485 lb/in"',
    "VehicleAxle.stop_gap": '"4 in"',
    "VehicleAxle.stop_rate": '"900 lb/in"',
    "VehicleAxle.track": '"68 in"',
    "VehicleAxle.unsprung": '"420 lb"',
    "VehicleTank.height": '"26 in"',
    "VehicleTank.offset": '"12 in"',
    "VehicleTank.station": '"92 in"',
}
"""Examples of keys that no rig of the demo writes."""

COMPUTED_FILES: Final = {
    "test_balanced_cargo",
    "test_bars_closed_form",
    "test_frame_solver",
    "test_hitching_geometry",
    "test_hitching_statics",
    "test_pairs_of_rigs",
    "test_road_equilibrium",
    "test_stow_bruteforce",
    "test_stow_cpsat",
    "test_sway_closed_forms",
    "test_sway_independent",
    "test_weighing_coverage",
    "test_weighing_solvers",
}
"""Validation by exact algebra, by hand or by an independent program: nothing of it is published."""
SEEN_FILES: Final = {
    "test_coupling_rules",
    "test_hitching_published",
    "test_measurement_uncertainty",
    "test_published_trailers",
    "test_road_published",
    "test_scale_tolerances",
    "test_sway_published",
    "test_sway_studies",
    "test_textbook_trailers",
    "test_tyre_tables",
    "test_unit_constants",
    "test_weight_and_balance_handbook",
}
"""Validation against sources that were seen, unless a test says otherwise; the rest is computed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of one table of the rig file."""

    table: str
    name: str
    schema: Schema
    required: bool

    @property
    def path(self) -> str:
        """Table and key, as `EXAMPLE` names them."""
        return f"{self.table}.{self.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One validation test: what its class and its own docstring say, and its group."""

    heading: str
    text: str
    group: str


def pages() -> dict[str, str]:
    """Every generated file by its path in the project, whole."""
    spelt_once = rig_schema(both_spellings=False)
    return {
        "docs/rig.schema.json": json.dumps(published_schema(), indent=1, ensure_ascii=False) + "\n",
        "docs/rig-file.md": under_top("docs/rig-file.md", reference(spelt_once)),
        "docs/validation.md": under_top("docs/validation.md", validation()),
        "docs/where.md": under_top("docs/where.md", where()),
        "docs/nomenclature.md": under_top("docs/nomenclature.md", parameters()),
    }


def under_top(path: str, built: Iterator[str]) -> str:
    """The page's own hand-written top with the built lines below it."""
    top = (ROOT / path).read_text(encoding="utf-8").partition(MARK)[0]
    return top + MARK + "\n" + "\n".join(built) + "\n"


# --- where things are ---------------------------------------------------------------------


def where() -> Iterator[str]:
    """Packages from the doors down, as the import contract orders them, each by its docstring."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    rows = settings["tool"]["importlinter"]["contracts"][0]["layers"]
    for row in rows:
        for name in (part.strip() for part in row.split("|")):
            folder = ROOT / "src/steelyard" / name
            path = folder / "__init__.py" if folder.is_dir() else folder.with_suffix(".py")
            said = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
            yield f"### `{name}`"
            yield ""
            yield said.split("\n\n")[0].replace("\n", " ")
            yield ""


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
        yield from (row(key, schema) for key in keys(schema, table))


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


def row(key: Key, schema: Schema) -> str:
    """One line of a table of keys."""
    name = f"`{key.name}`" + (" (required)" if key.required else "")
    where = str(key.schema.get("x-where", ""))
    cells = (name, meaning(key), where, takes(key.schema), shown(example(key, schema)))
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


def example(key: Key, schema: Schema) -> str:
    """An example of a key as it stands in a rig file; empty for a key that opens a table."""
    if key.path in EXAMPLE:
        return EXAMPLE[key.path]
    if inner(key.schema) is not None:
        return ""
    found = written(schema).get(key.path)
    return toml(found) if found is not None else _any_example(key.schema)


def _any_example(one: Schema) -> str:
    if "x-dimension" in one:
        return str(EXAMPLES[one["x-dimension"]].split(" or ")[0])
    if "enum" in one:
        return toml(one["enum"][-1])
    for choice in one.get("anyOf", ()):
        if choice.get("type") != "null":
            return _any_example(choice)
    return ""


def shown(text: str) -> str:
    """An example as code, or nothing."""
    return f"`{text}`" if text else ""


def written(schema: Schema) -> dict[str, Any]:
    """The first value of each key that the demo's rigs write, by table and key."""
    found: dict[str, Any] = {}
    for text in demo_rigs().values():
        _gather(schema, "Rig", tomllib.loads(text), found)
    return found


def _gather(schema: Schema, table: str, data: Mapping[str, Any], found: dict[str, Any]) -> None:
    for key in keys(schema, table):
        if key.name not in data:
            continue
        value, opened = data[key.name], inner(key.schema)
        if opened is None:
            found.setdefault(key.path, value)
            continue
        for one in _inside(value, opened[1]):
            _gather(schema, opened[0], one, found)


def _inside(value: Any, after: str) -> list[Mapping[str, Any]]:
    """The tables behind a key: one, those by name, or the rows of a list."""
    if after == ".NAME":
        return list(value.values())
    return list(value) if after == "[]" else [value]


def toml(value: Any) -> str:
    """A value as TOML writes it on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{name} = {toml(one)}" for name, one in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml(one) for one in value) + "]"
    return json.dumps(value, ensure_ascii=False)


# --- validation -----------------------------------------------------------------------------


GROUPS: Final = {
    "seen": "Against published values that were seen",
    "computed": "Computed: independent programs, algebra by hand, numbers worked from a formula",
    "memory": "From memory",
}


def validation() -> Iterator[str]:
    """The facts of the validation tests, group by group and file by file."""
    for group, title in GROUPS.items():
        yield f"## {title}"
        for path in validation_files():
            yield from _of_file(path, group)
        yield ""
    yield from _by_code()
    yield "## Sources of each file"
    yield ""
    for path in validation_files():
        yield f"- `{path.stem}`: {docstring(ast.parse(path.read_text(encoding='utf-8')))}"


def _of_file(path: Path, group: str) -> Iterator[str]:
    found = [fact for fact in facts(path) if fact.group == group]
    if found:
        yield ""
        yield f"### `{path.stem}`"
        yield ""
        yield "| held to | fact |"
        yield "|---|---|"
        for fact in found:
            yield (
                "| "
                + " | ".join(cell.replace("|", "\\|") for cell in (fact.heading, fact.text))
                + " |"
            )


CODE: Final = re.compile(r"\b(?:[A-Z]{2,4}|J\d{2,4})-\d+\b")
"""How a check of the literature is numbered."""


def _by_code() -> Iterator[str]:
    """Each numbered check with the facts that name it, and the file to run for them."""
    found: dict[str, list[str]] = {}
    for path in validation_files():
        for fact in facts(path):
            for code in dict.fromkeys(CODE.findall(f"{fact.heading} {fact.text}")):
                found.setdefault(code, []).append(
                    f"- `{path.stem}`: {fact.heading} {fact.text}".replace(":  ", ": ")
                )
    yield "## By number"
    for code in sorted(found, key=lambda one: (one.split("-")[0], int(one.split("-")[1]))):
        yield ""
        yield f"### {code}"
        yield ""
        yield from dict.fromkeys(found[code])
    yield ""


def validation_files() -> list[Path]:
    """The validation tests, by name."""
    return sorted((ROOT / "tests/validation").glob("test_*.py"))


def facts(path: Path) -> Iterator[Fact]:
    """One fact a test, with what its class says above it."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ClassDef):
            for test in node.body:
                yield from _fact(path, node, test)
        else:
            yield from _fact(path, None, node)


def _fact(path: Path, holder: ast.ClassDef | None, node: ast.stmt) -> Iterator[Fact]:
    if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
        about = docstring(holder) if holder else ""
        yield Fact(
            heading=about,
            text=docstring(node),
            group=group_of(
                path.stem,
                f"{holder.name if holder else ''} {node.name}",
                f"{about} {docstring(node)}",
            ),
        )


def group_of(file: str, name: str, text: str) -> str:
    """Whether a test's number was seen in its source, computed, or is from memory.

    `name` is the test's, with its class; `text` what both docstrings say.
    """
    if any(word in name for word in ("FromMemory", "from_memory", "no_source")) or "(M)" in text:
        return "memory"
    computed = any(word in name for word in ("Computed", "_computed")) or "pint" in text
    if computed or file in COMPUTED_FILES or file not in SEEN_FILES:
        return "computed"
    return "seen"


def docstring(node: ast.Module | ast.ClassDef | ast.FunctionDef) -> str:
    """A docstring on one line."""
    return " ".join((ast.get_docstring(node) or "").split())


def main() -> None:
    """Write every generated file."""
    for path, text in pages().items():
        (ROOT / path).write_text(text, encoding="utf-8")
        print(f"wrote {path}")


if __name__ == "__main__":
    main()
