"""`steelyard compare A B`: why one puts more on the ball than the other, row by row."""

from collections.abc import Iterator

import click

from steelyard.assessment import Assessment, assess
from steelyard.cli import options
from steelyard.cli.options import about, fail, load, print_json
from steelyard.cli.words import Row, clipped, paragraph, table
from steelyard.files.match_report import comparison_report
from steelyard.files.report import CAUTIONS
from steelyard.matching.compare import Comparison, compare
from steelyard.quantity import POUND, System, to_border
from steelyard.travel import chosen_stages
from steelyard.words.assessed import number, system_of, weight_spread
from steelyard.words.matched import first_sentence, value

SMALL = 0.5 * POUND
"""N: rows of less than half a pound are summed into one line."""


@click.command("compare")
@options.shipped_option
@click.argument("a", type=click.Path(path_type=str))
@click.argument("b", type=click.Path(path_type=str), required=False)
@click.option("--stage-a", metavar="KEY", help="Stage of A; its worst when left out.")
@click.option("--stage-b", metavar="KEY", help="Stage of B; its worst when left out.")
@options.answer_options
def command(
    a: str,
    b: str | None,
    stage_a: str | None,
    stage_b: str | None,
    units: str | None,
    *,
    as_json_: bool,
) -> None:
    """Why rig B puts more or less on the ball than rig A; or two stages of A alone.

    Exit codes: 0 done, 2 bad input.
    """
    if b is None and (stage_a is None or stage_b is None):
        fail("expected two rig files, or one with --stage-a and --stage-b; found one")
    left = _assessed(a, stage_a, "stage_a")
    right = _assessed(b or a, stage_b, "stage_b")
    found = compare(left, right, stage_a, stage_b)
    system = system_of(left, units)
    if as_json_:
        whole = comparison_report(found, first_sentence(found, system))
        print_json(whole)
    else:
        click.echo("\n".join(_lines(found, system)))


def _assessed(path: str, stage: str | None, argument: str) -> Assessment:
    rig = load(path)
    chosen_stages(rig, None if stage is None else (stage,), argument)
    with about(path, 2):
        return assess(rig)


def _lines(found: Comparison, system: System) -> Iterator[str]:
    yield paragraph(first_sentence(found, system))
    yield ""
    for which, name, stage in (
        ("A", found.name_a, found.stage_a),
        ("B", found.name_b, found.stage_b),
    ):
        who = ", ".join(dict.fromkeys((name, stage.title)))
        load = weight_spread(stage.tongue.weight_kg, system)
        yield paragraph(f"{which}  {who}: {load} on the ball", "   ", "")
    yield ""
    yield _table(found, system)
    yield ""
    if any(row.assumed for row in found.rows):
        yield paragraph(
            "*: a place along the box that nobody measured stands behind it. The sum of these rows"
            " is exact; how it divides among them is as good as box and axles are known."
        )
    yield paragraph("Bars off, at the best estimate. Positive: B puts more on the ball.")
    yield from (paragraph(line) for line in CAUTIONS)


def _table(found: Comparison, system: System) -> str:
    unit = "lb" if system == "us" else "kg"
    rows: list[Row] = [("what", "", "in A", "in B", f"ball A, {unit}", "ball B", "B less A")]
    small = 0.0
    for row in found.rows:
        if abs(row.difference_kg) < SMALL:
            small += row.difference_kg
            continue
        forces = ("" if f is None else number(f, system) for f in (row.a_kg, row.b_kg))
        title = (clipped(row.name, 26), "*" if row.assumed else "")
        cells = (value(row, "a", system), value(row, "b", system), *forces)
        rows.append((*title, *cells, _signed(row.difference_kg, system)))
    if abs(small) > 0:
        rows.append(("rows too small to list", "", "", "", "", "", _signed(small, system)))
    totals = (number(found.tongue_a_kg, system), number(found.tongue_b_kg, system))
    rows.append(("tongue weight", "", "", "", *totals, _signed(found.difference_kg, system)))
    return table(rows, left=(0, 1))


def _signed(kg: float, system: System) -> str:
    return f"{to_border(kg, 'mass', system):+z,.1f}"
