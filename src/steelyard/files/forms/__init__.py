"""The JSON forms that commands print, each with its published schema (draft 2020-12).

A form only grows: a key may be added with a line in the changelog; one that goes, is renamed or
means something else asks for the form's next number.
"""

import json
from importlib.resources import files
from typing import Any, Final

FORMS: Final = tuple(
    sorted(one.name[:-5] for one in files(__package__).iterdir() if one.name.endswith(".json"))
)


def form_schema(form: str) -> dict[str, Any]:
    """The schema of a form, by its name; KeyError for one that is not there."""
    if form not in FORMS:
        raise KeyError(form)
    found: dict[str, Any] = json.loads((files(__package__) / f"{form}.json").read_text("utf-8"))
    return found
