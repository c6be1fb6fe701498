"""`steelyard selftest`: proof on this machine, as a form to keep."""

import json
import platform
from collections.abc import Iterator, Sequence
from datetime import datetime
from importlib.metadata import version

import click

from steelyard.cli.options import json_option
from steelyard.cli.progress import counting
from steelyard.cli.words import paragraph
from steelyard.selftest import CHECKS, Finding, run
from steelyard.selftest.identity import fingerprint, libraries

CAUTION = (
    "It proves the arithmetic on this machine, and nothing about a rig: an estimate is not a "
    "weighing, and ratings on the vehicle's own labels and local law come first."
)


@click.command("selftest")
@json_option
def command(*, as_json_: bool) -> None:
    """Work out published cases on this machine, and try what the answers stand on.

    A few seconds; nothing is sent or left behind. The form is for keeping: expected value, found
    value, tolerance and source of every check. Exit codes: 0 all hold, 1 anything is off.
    """
    found, tell = [], counting("checks")
    for one in run(CHECKS):
        found.append(one)
        tell(len(found), len(CHECKS))
    if as_json_:
        click.echo(json.dumps(_report(found), indent=1, ensure_ascii=False))
    else:
        click.echo("\n".join(_form(found)))
    raise SystemExit(0 if all(one.holds for one in found) else 1)


def _heading() -> dict[str, str]:
    return {
        "steelyard": version("steelyard"),
        "files": fingerprint(),
        "date": datetime.now().astimezone().isoformat(sep=" ", timespec="minutes"),
        "machine": f"{platform.system()} {platform.machine()}",
        "python": platform.python_version(),
        **libraries(),
    }


def _form(found: Sequence[Finding]) -> Iterator[str]:
    off = sum(not one.holds for one in found)
    yield f"Self-test: {f'{off} of {len(found)} are OFF' if off else f'all {len(found)} hold'}"
    yield from (f"{key:10}{value}" for key, value in _heading().items())
    for number, one in enumerate(found, 1):
        yield ""
        yield f"{number:2}  {one.check.name}: {'holds' if one.holds else 'OFF'}"
        yield f"    {_due(one)}"
        yield f"    found {one.fault or _number(one.found, one.check.unit)}"
        yield paragraph(f"    {one.check.source}")
    yield ""
    yield paragraph(CAUTION)
    yield "Kept by: ______________________________   Signed: ______________________________"


def _due(one: Finding) -> str:
    within = f" ± {one.check.tolerance:.10g}" if one.check.tolerance else ""
    return f"due   {one.check.expected:.9g}{within} {one.check.unit}".rstrip()


def _number(value: float | None, unit: str) -> str:
    return f"{value:.9g} {unit}".rstrip()


def _report(found: Sequence[Finding]) -> dict[str, object]:
    return {
        "selftest": 1,
        **_heading(),
        "holds": all(one.holds for one in found),
        "checks": [
            {
                "name": one.check.name,
                "source": one.check.source,
                "unit": one.check.unit,
                "expected": one.check.expected,
                "tolerance": one.check.tolerance,
                "found": one.found,
                "fault": one.fault,
                "holds": one.holds,
            }
            for one in found
        ],
        "caution": CAUTION,
    }
