"""`steelyard match` as a person runs it, for the tests of its tables."""

from pathlib import Path

from click.testing import CliRunner

import steelyard.files.demo
from steelyard.cli import main

DEMO = Path(steelyard.files.demo.__file__).parent
CAMPER = str(DEMO / "perihelion-camper.toml")
HEAD = "name,trailer.style,trailer.gvwr (lb),trailer.empty.weight (lb)\n"


def run(*arguments: str) -> tuple[int, str, str]:
    """Exit code, output and errors of a command."""
    found = CliRunner().invoke(main, list(arguments))
    assert found.exception is None or isinstance(found.exception, SystemExit), found.output
    return found.exit_code, found.stdout, found.stderr
