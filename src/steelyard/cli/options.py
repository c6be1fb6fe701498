"""Options and input handling that commands share; numbers with units on the command line."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, NoReturn

import click

from steelyard.assessment import Assessment
from steelyard.cli import BAD_INPUT
from steelyard.cli.progress import working
from steelyard.cli.words import SOURCES, paragraph
from steelyard.fault import FaultError
from steelyard.files import read_rig
from steelyard.files.faults import located
from steelyard.quantity import Dimension, QuantityError, parse
from steelyard.ratings import TIGHT, questions
from steelyard.rig import Owned, Rig
from steelyard.scene import NoBalanceError, under_way
from steelyard.travel import chosen_stages
from steelyard.words.assessed import question_lines
from steelyard.words.trade import speaking, trade, trade_of


class Quantity(click.ParamType[float]):
    """A quantity of one dimension; `within` says of its SI value whether it will do, and `due` in
    words what would. `bare` is the unit of a number without one."""

    def __init__(
        self,
        dimension: Dimension,
        within: Callable[[float], bool] | None = None,
        due: str = "",
        bare: str = "",
    ) -> None:
        self.name = dimension
        self._dimension, self._within, self._due, self._bare = dimension, within, due, bare

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """SI; a default, which is SI already, as it is."""
        if not isinstance(value, str):
            return float(value)
        text = f"{value} {self._bare}" if self._bare and value[-1:].isdigit() else value
        try:
            found = parse(text, self._dimension).value
        except QuantityError as error:
            self.fail(str(error), param, ctx)
        if self._within is not None and not self._within(found):
            self.fail(f"expected {self._due}, found {value!r}", param, ctx)
        return found


SPEED: Final = Quantity("speed", lambda x: x > 0, "a speed above zero")


_Option = Callable[[Callable[..., Any]], Callable[..., Any]]
SHIPPED = "steelyard.shipped"


def _shipped(ctx: click.Context, _param: click.Parameter, raw: bool) -> None:  # noqa: FBT001
    ctx.find_root().meta[SHIPPED] = raw


shipped_option = click.option(
    "--shipped",
    is_flag=True,
    expose_value=False,
    callback=_shipped,
    help="Leave out your own typical values (see `steelyard learn`).",
)


def both(first: _Option, second: _Option) -> _Option:
    """Two options that go together, in this order."""
    return lambda command: first(second(command))


rig_argument = both(shipped_option, click.argument("rig", type=click.Path(path_type=str)))
"""A rig file, and whether the owner's own typical values are left out."""


stage_option = click.option(
    "--stage", multiple=True, metavar="KEY", help="Only this stage; may be given several times."
)
json_option = click.option(
    "--json",
    "as_json_",
    is_flag=True,
    help="JSON for programs, to the form's schema (see `steelyard schema`).",
)
units_option = click.option(
    "--units",
    type=click.Choice(["us", "metric"]),
    default=None,
    help="Units of the answer; by the rig's region when left out.",
)
answer_options = both(json_option, units_option)


def _sources(ctx: click.Context, _param: click.Parameter, raw: bool) -> None:  # noqa: FBT001
    ctx.meta[SOURCES] = raw


detail_options = both(
    click.option(
        "--all", "everything", is_flag=True, help="All of it, not the first answer alone."
    ),
    click.option(
        "--sources",
        is_flag=True,
        expose_value=False,
        callback=_sources,
        help="Name keys of the rig file, and where rules and typical values come from.",
    ),
)


tight_option = click.option(
    "--tight",
    type=Quantity("share", lambda x: 0 < x < 0.5, "a chance above 0 and under 50 %", bare="%"),
    default=TIGHT,
    metavar="SHARE",
    help="Chance of exceeding from which a limit is tight, above 0 and under 50 %; 2.5 % "
    "when left out.",
)


with_option = click.option(
    "--with",
    "ticket",
    metavar="TICKET",
    help="A weighing to be sharper by: a ticket (TOML or CSV), or log:N, weighing N of the "
    "default logbook carried over to this rig.",
)
judging_options = both(tight_option, with_option)
FIGURES = ("svg", "png", "pdf")


def _figure(_ctx: click.Context, _param: click.Parameter, raw: str | None) -> Path | None:
    path = None if raw is None else Path(raw)
    if path is not None and path.suffix.removeprefix(".") not in FIGURES:
        fail(f"--figure: expected a file ending in .svg, .png or .pdf, found {path.name!r}")
    return path


figure_option = click.option(
    "--figure",
    callback=_figure,
    metavar="FILE",
    help="Also draw it into an .svg, .png or .pdf file.",
)


def fail(message: str) -> NoReturn:
    """Say what is wrong and stop with the code for bad input."""
    click.echo(message, err=True)
    raise SystemExit(BAD_INPUT)


def drawn(path: Path, picture: str) -> None:
    """Write a picture into a file of the kind its ending names; no folder ends it in a sentence."""
    from steelyard.drawing.export import exported

    try:
        path.write_bytes(exported(trade().page(picture), path.suffix.removeprefix(".")))
    except (FileNotFoundError, NotADirectoryError, PermissionError) as error:
        fail(f"{path}: expected a folder to draw into, found none ({error.strerror})")


@contextmanager
def about(path: str | Path, steps: int = 0) -> Iterator[Callable[[], None]]:
    """What is wrong with a question is told with the file it was asked of; progress on a
    terminal where it takes steps, one done and one more a call."""
    try:
        with working(steps) as step:
            yield step
    except FaultError as error:
        raise error.within(file=str(path)) from None
    except ValueError as error:
        tips = isinstance(error, NoBalanceError) and Path(path).is_file()
        asked = questions(read_rig(path)) if tips else ()  # which may be why
        fail("\n".join((f"{path}: {error}", *question_lines(one.fault for one in asked))))


def stated(path: str, rig: Rig | None = None) -> Rig:
    """The rig as its file has it, or as read already, and the owner's own typical values beside it;
    what is said from here on is said in its trade's words."""
    rig = (rig or read_rig(Path(path))).owning(own_values())
    context = click.get_current_context(silent=True)
    if context is not None:
        context.with_resource(speaking(trade_of(rig)))
    return rig


def own_values() -> Owned:
    """What `steelyard learn` wrote beside the logbook; none with --shipped, or where none is."""
    context = click.get_current_context(silent=True)
    if context is not None and context.find_root().meta.get(SHIPPED):
        return {}
    from steelyard.logbook.where import default_path

    path = default_path().with_name("learned.toml")
    if not path.exists():
        return {}
    from steelyard.files.owned import read_owned

    return read_owned(path)


def load(path: str, rig: Rig | None = None, *, asks: bool = True) -> Rig:
    """The rig in a file, or as read already, whose trip can happen. asks: what is asked about its
    values is said beside the answer, which says nothing of it itself."""
    rig = stated(path, rig)
    with about(path):
        try:
            under_way(rig)
        except FaultError as error:
            raise located(error, Path(path).read_text("utf-8"), path) from None
    for line in question_lines(one.fault for one in questions(rig)) if asks else ():
        click.echo(paragraph(line), err=True)
    return rig


def chosen_stage(rig: Rig, asked: tuple[str, ...]) -> tuple[str, ...] | None:
    """The stages asked for, checked against the rig's own."""
    chosen_stages(rig, asked)
    return asked or None


def print_json(found: Any) -> None:
    """An answer for programs."""
    click.echo(json.dumps(found, indent=1, ensure_ascii=False))


def whole_report(
    found: Assessment,
    before: Assessment | None = None,
    words: tuple[str, ...] = (),
    told: tuple[str, ...] = (),
) -> dict[str, Any]:
    """The report, with the one from before a weighing where there was one."""
    from steelyard.files.report import report

    whole = report(found)
    if before is not None:
        whole["before_weighing"] = report(before)
        whole["weighing_told"] = list(told)
        whole["weighing_doubts"] = list(words)
    return whole
