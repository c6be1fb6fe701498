"""The rig file as a form: what counts first, then group by group, or what a word finds."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from steelyard.files import names
from steelyard.files.demo import demo_rigs
from steelyard.quantity import System, unit_of
from steelyard.typical.plausible import banded
from steelyard.web import form
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.sections.limits import sought
from steelyard.web.session import Seen
from steelyard.web.work import Work
from steelyard.words.assessed import natural
from steelyard.words.trade import synonyms
from steelyard.words.unstated import stated_at

GROUPS: Final = {
    "first": "What counts most",
    "vehicle": "Vehicle",
    "hitch": "Hitch",
    "trailer": "Trailer",
    "places": "Places",
    "items": "Items",
    "people": "People",
    "stages": "Stages",
    "felt": "Felt on the road",
    "whole": "Name, region, speed",
    "other": "Another rig, file",
}
FOUND: Final = 40
"""Fields shown at most for a word."""
COUNTING: Final = 6
"""Assumed values, biggest effect first, among what counts most."""


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """One group of fields, or those that a word finds."""
    work, system = seen.work, look.system(seen.work)
    group = look.choice.get("rig", "first")
    word = look.choice.get("find", "").strip()
    return {
        "groups": GROUPS,
        "group": group if group in GROUPS else "first",
        "word": word,
        "found": _found(work, word, system) if word else None,
        "counting": _counting(work, system) if group == "first" else None,
        "tables": [] if word else list(_tables(work, group, system)),
        "adding": [] if word else list(_adding(work, group, system)),
        "examples": list(demo_rigs()),
        "has_file": seen.path is not None,
        "file": seen.name,
    }


def filled(
    field: form.Field, system: System, *, basis: str | None = None, typical: str | None = None
) -> dict[str, Any]:
    """One field as the template shows it: as in the file, and what is said of the number."""
    table = field.said if isinstance(field.said, Mapping) else {}
    return {
        "at": field.at,
        "id": field.at.replace(" ", "~"),
        "key": field.called,
        "sort": field.sort,
        "text": form.as_typed(field),
        "ticked": list(field.said or ()) if field.sort == "names" else [],
        "nobody": field.said == [],
        "basis": table.get("basis") or basis or "stated",
        "kind": table.get("kind", ""),
        "includes": table.get("includes"),
        "sure": table.get("sure", False),
        "doubted": field.at in banded() or field.at.endswith(".weight"),
        "field": field,
        "example": _example(field, system),
        "unit": unit_of("mass", system) if field.dimension == "mass" else "",
        "typical": typical,
        "help": "; ".join(word for word in (field.means, field.where) if word),
        "said": field.said is not None,
    }


def _example(field: form.Field, system: System) -> str:
    """How such a value is written, in the reader's units where they differ."""
    us, _, metric = field.example.replace('"', "").partition(" or ")
    if system == "us" or not metric or field.sort != "quantity" or field.dimension is None:
        return us
    unit = unit_of(field.dimension, system)
    return "4.5 bar" if unit == "bar" else us if us.endswith(f" {unit}") else metric


def _found(work: Work, word: str, system: System) -> dict[str, Any]:
    """What a word finds, what is stated first."""
    every = matching(form.fields(work.state.data), word)
    every.sort(key=lambda one: one.said is None)
    return {"fields": _filled(work, every[:FOUND], system), "more": max(len(every) - FOUND, 0)}


def matching(fields: Iterable[form.Field], word: str) -> list[form.Field]:
    """Fields with all the words in their path, their help or their value; a comma begins others."""
    wanted = [part.split() for part in word.lower().split(",") if part.strip()]
    texts = ((one, _text(one)) for one in fields)
    return [one for one, text in texts if any(all(w in text for w in each) for each in wanted)]


def _text(field: form.Field) -> str:
    words = (field.at, field.at.replace("_", " ").replace(".", " "), field.means, field.where)
    text = " ".join((*words, form.as_typed(field)))
    return f"{text} {synonyms(text)}".lower()


def _counting(work: Work, system: System) -> dict[str, Any]:
    """The rating that decides, the ratings nobody stated, the assumed values that move most."""
    known = {one.at: one for one in form.fields(work.state.data)}
    stage = work.found.worst_stage
    ratings = [one for one in stage.limits if one.verdict == "unknown"]
    unknown = [known.get(at) for one in ratings for at in sought(one).split(", ")]
    one = stage.deciding
    decides = known.get(one.at) if one else None
    moving = [known.get(stated_at(one.name, work.rig)) for one in work.found.assumed]
    return {
        "decides": _filled(work, [decides] if decides else [], system),
        "unknown": _filled(work, _once(unknown), system),
        "moving": _filled(work, _once(moving)[:COUNTING], system),
        "nobody": not work.rig.people,
    }


def _once(found: Iterable[form.Field | None]) -> list[form.Field]:
    return list({one.at: one for one in found if one is not None}.values())


def _filled(work: Work, found: Iterable[form.Field], system: System) -> list[dict[str, Any]]:
    """Fields with what is assumed where nothing is stated, beside them."""
    by_path = {stated_at(one.name, work.rig): one for one in work.found.assumed}
    rows = []
    for field in found:
        one = by_path.get(field.at) if field.said is None else None
        shown = natural(one.value, one.sd, one.dimension, system) if one else None
        rows.append(filled(field, system, typical=shown))
    return rows


def _tables(work: Work, group: str, system: System) -> Iterator[dict[str, Any]]:
    """The tables of a group, each with what is stated and what is not."""
    for table in form.tables(work.state.data):
        head = table.path[0] if table.path else "whole"
        if head != group:
            continue
        rows = _filled(work, table.fields, system)
        yield {
            "at": table.at,
            "id": table.at.replace(" ", "~"),
            "title": _title(table.path),
            "said": [row for row in rows if row["said"] or row["field"].required],
            "unsaid": [row for row in rows if not row["said"] and not row["field"].required],
            "named": table.named,
            "optional": table.optional and any(row["said"] for row in rows),
            "table": ".".join(table.path[:-1]),
            "name": table.path[-1] if table.path else "",
            "moves": table.named and table.path[0] == "stages",
        }


def _adding(work: Work, group: str, system: System) -> Iterator[dict[str, Any]]:
    """What can be added to a group under a name of the user's own."""
    for path, model in form.named_models().items():
        if path.split(".")[0] != group:
            continue
        stub: dict[str, Any] = {}
        names_of = names.made(work.state.data, path, "", {}) if path else stub
        fields = [
            one
            for one in form.fields(names_of)
            if one.required and one.path[:-1] == (*path.split("."), "")
        ]
        yield {
            "table": path,
            "title": names.said(path),
            "on": "on" in form.body(model)["properties"],
            "fields": [filled(one, system) for one in fields],
        }


def _title(path: tuple[str, ...]) -> str:
    """`front tyres`, `fresh`: a table without its group's name."""
    words = [part.replace("_", " ") for part in path[1:] if part not in ("tanks", "seats")]
    return ", ".join(words) or (path[0] if path else "the rig")


SECTION: Final = Section(
    "rig",
    "The rig",
    "everything in the rig file; open, begin, save",
    facts,
    own=lambda seen: (seen.path, seen.name),
)
