"""`steelyard schema`: the JSON schema of the rig file, or of a form that a command prints."""

import json

import click

from steelyard.fault import FaultError, missing
from steelyard.files.forms import FORMS, form_schema
from steelyard.files.schema import published_schema

RIG = "rig"


@click.command("schema")
@click.argument("form", default=RIG)
def command(form: str) -> None:
    """Print the JSON schema of the rig file, or of a FORM that --json prints.

    FORM: compare, fit, learned, log-compare, log-drift, log-export, log-list, log-show, match,
    move, recording, report (of check, ledger, trip), road, selftest, slide, stow, sway, weighing;
    rig when left out.
    """
    if form not in (RIG, *FORMS):
        raise FaultError(missing("forms", form, (RIG, *FORMS), argument="FORM"))
    found = published_schema() if form == RIG else form_schema(form)
    click.echo(json.dumps(found, indent=1, ensure_ascii=False))
