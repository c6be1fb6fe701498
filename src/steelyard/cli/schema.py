"""`steelyard schema`: the JSON schema of the rig file."""

import click

from steelyard.cli.options import print_json
from steelyard.files.schema import published_schema


@click.command("schema")
def command() -> None:
    """Print the JSON schema of the rig file."""
    print_json(published_schema())
