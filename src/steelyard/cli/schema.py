"""`steelyard schema`: the JSON schema of the rig file."""

import json

import click

from steelyard.files.schema import published_schema


@click.command("schema")
def command() -> None:
    """Print the JSON schema of the rig file."""
    click.echo(json.dumps(published_schema(), indent=1, ensure_ascii=False))
