"""`steelyard road`: brakes and grades."""

import math
from functools import partial

import click

from steelyard.braking.result import severity
from steelyard.braking.settings import Setting, require
from steelyard.braking.stage_road import road, settings_for
from steelyard.cli import options
from steelyard.cli.belief import sharper
from steelyard.cli.options import Quantity, about, chosen_stage, fail, load, print_json
from steelyard.cli.road_words import CUTS, answer, first_answer
from steelyard.cli.words import exit_code, first_fitting
from steelyard.files.road_report import road_report
from steelyard.quantity import GRAVITY, QuantityError, parse
from steelyard.words.trade import units_of


def _setting(_ctx: click.Context, _param: click.Parameter, raw: str | None) -> Setting | None:
    """`0.7`, `0.7 +- 0.1` or `70 %`: a number without a unit and its spread."""
    if raw is None:
        return None
    try:
        found = parse(raw if "%" in raw else _of_one(raw), "share")
    except QuantityError:
        raise click.BadParameter(
            f'expected a number such as "0.7" or "0.7 +- 0.1", found {raw!r}'
        ) from None
    return Setting(value=found.value, sd=found.sd or 0.0, source="as asked")


def _of_one(raw: str) -> str:
    """A bare number in the unit that the share's own grammar knows."""
    value, sign, spread = raw.replace("±", "+-").partition("+-")
    return f"{value.strip()} of 1" + (f" +- {spread.strip()} of 1" if sign else "")


def _deceleration(_ctx: click.Context, _param: click.Parameter, raw: str | None) -> float | None:
    """`0.35 g` or `3.4 m/s2`."""
    if raw is None:
        return None
    units = {"m/s2": 1.0, "g": GRAVITY}
    unit = next((unit for unit in units if raw.strip().endswith(unit)), None)
    try:
        value = float(raw.strip().removesuffix(unit)) if unit else math.nan
    except ValueError:
        value = math.nan
    if unit is None or math.isnan(value):
        raise click.BadParameter(f'expected such as "0.35 g" or "3.4 m/s2", found {raw!r}')
    return value * units[unit]


@click.command("road")
@options.rig_argument
@options.with_option
@options.stage_option
@click.option(
    "--grade",
    type=Quantity("share"),
    metavar="SHARE",
    help='Steepness up and down, rise over level run; "6 %" when left out (assumed).',
)
@click.option(
    "--friction",
    callback=_setting,
    metavar="NUMBER",
    help='Between tyre and road, with a spread if known: "0.4 +- 0.1"; 0.7 +- 0.1 when '
    "left out (dry paved road, assumed).",
)
@click.option(
    "--speed",
    type=Quantity("speed"),
    metavar="SPEED",
    help="Speed of stop, climb and descent; the rig's own when left out, else 100 km/h.",
)
@click.option(
    "--length",
    type=Quantity("length"),
    metavar="LENGTH",
    help="Length of the descent along the road; 5 km when left out (assumed).",
)
@click.option(
    "--slowing",
    callback=_deceleration,
    metavar="NUMBER",
    help='Deceleration of a firm stop: "0.35 g"; "3.4 m/s2" when left out (that of '
    "stopping sight distance).",
)
@click.option(
    "--reaction",
    type=float,
    metavar="SECONDS",
    help="Reaction time in every stopping distance; 2.5 s when left out (that of stopping "
    "sight distance).",
)
@click.option(
    "--front-share",
    callback=_setting,
    metavar="SHARE",
    help="Front axle's share of the vehicle's brake force; 65 +- 10 % when left out (assumed).",
)
@click.option(
    "--trailer-share",
    callback=_setting,
    metavar="SHARE",
    help="Share of its own slowing that a braked trailer brakes; 80 +- 20 % when left out "
    "(assumed).",
)
@options.tight_option
@click.option(
    "--rules", is_flag=True, help="List the rules on brakes, those that hold or decide nothing too."
)
@options.detail_options
@options.answer_options
def command(
    rig: str,
    ticket: str | None,
    stage: tuple[str, ...],
    grade: float | None,
    friction: Setting | None,
    speed: float | None,
    length: float | None,
    slowing: float | None,
    reaction: float | None,
    front_share: Setting | None,
    trailer_share: Setting | None,
    tight: float,
    units: str | None,
    *,
    rules: bool,
    everything: bool,
    as_json_: bool,
) -> None:
    """Brakes and grades of a RIG: need, stops, load transfer, push, climbing, heat of a descent.

    Exit codes: 0 all holds, 1 something doesn't (brakes required but none, an axle lifting, grip
    or pull too small), 2 bad input, 3 tight or unknown.
    """
    facts = load(rig)
    wanted = chosen_stage(facts, stage)
    estimate = sharper(facts, ticket).warned()
    given = {
        "grade": grade,
        "friction": friction,
        "speed": speed,
        "length": length,
        "deceleration": slowing,
        "reaction": reaction,
        "front_share": front_share,
        "trailer_share": trailer_share,
    }
    asked = settings_for(facts, **{key: x for key, x in given.items() if x is not None})
    try:
        require(asked)
    except ValueError as error:  # of an option, not of the file
        fail(str(error))
    with about(rig, 2):
        found = road(facts, estimate, wanted, settings=asked, tight=tight)
    worst = max(found, key=severity)
    if as_json_:
        print_json(road_report(facts, found))
    else:
        others = [one for one in found if one is not worst]
        system = units_of(facts, units)
        said = partial(first_answer, facts, worst, others, system)
        if everything:
            lines = [*answer(facts, worst, others, system, rules=rules)]
        elif rules:
            lines = [*said(rules=True)]
        else:
            lines = first_fitting(said(rules=False, cut=cut) for cut in range(CUTS))
        click.echo("\n".join(lines))
    raise SystemExit(exit_code(worst.verdict, refuses=worst.refuses))
