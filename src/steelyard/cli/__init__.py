"""The command line: parse, call one function, render. No physics behind this door."""

import os
import sys
from dataclasses import replace
from importlib import import_module
from typing import Any, Final, NoReturn

import click

from steelyard.cli import progress  # noqa: F401 - which begins to count
from steelyard.fault import Fault, FaultError

# The matrices here are small: a second BLAS thread only waits, and takes a core from others.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

_COMMANDS: Final = {
    "open": "The page: see the rig, move things, weigh, in the browser or on a phone.",
    "check": "Loads, tongue weight and every limit of a rig, with what decides it.",
    "ledger": "What each part, item and tank does to the ball, and what each place can still take.",
    "weigh": "Reconcile a ticket of readings with a rig; say what to weigh next.",
    "log": "Weighings that were kept: list, show, compare, drift, export, import.",
    "learn": "Your own typical values, learned from your logbook.",
    "sway": "How fast a swing dies out, from what speed it doesn't, what moves that.",
    "road": "Brakes and grades: need, stops, load transfer, push, climbing, heat of a descent.",
    "fit": "Which drop, ball, jack and spring bars a rig wants, and how high.",
    "card": "One printable sheet, two sides, for the glove box; reads a rig back from one.",
    "trip": "Every stage of a trip: share, ball, axles, status, and what flows between.",
    "stow": "Where everything should ride, for the whole trip, and what stays home.",
    "move": "What moving one thing would do; saves it when asked.",
    "refresh": "Every rig of a folder or a book assessed again, and what changed.",
    "sweep": "Any numbers of a rig varied: what comes of it, and what moves it.",
    "match": "Which vehicles and trailers belong together, ranked, with reasons.",
    "compare": "Why one trailer, or one loading, puts more on the ball than another.",
    "new": "Write a commented rig file from a few answers.",
    "demo": "Write the Perihelion Outreach rigs and check one.",
    "schema": "Print the JSON schema of the rig file.",
    "selftest": "Published cases worked out on this machine, as a form to keep.",
}


BAD_INPUT: Final = 2
STOPPED: Final = 130
"""By Ctrl-C, as shells count it: no verdict."""


class _Lazy(click.Group):
    """Loads a command's module when it is called, so that --help stays quick.

    The one place where a fault ends a command, whichever it is.
    """

    def main(self, *args: Any, **words: Any) -> NoReturn:
        """Run, as click does; `--help` and a command's own options are inside it too."""
        words["standalone_mode"] = False
        try:
            code = super().main(*args, **words)
        except FaultError as error:
            refuse(error)
        except click.exceptions.NoArgsIsHelpError as error:
            error.show()
            code = BAD_INPUT
        except click.UsageError as error:
            click.echo(_one_line(error), err=True)
            code = BAD_INPUT
        except click.Abort:
            click.echo("Stopped. Whatever was written before is whole.", err=True)
            code = STOPPED
        except OSError as error:
            hint = (error.strerror or "unknown").lower()
            refuse(FaultError(due="room to write the answer", found="none", hint=hint))
        raise SystemExit(code if isinstance(code, int) else 0)

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in _COMMANDS:
            return None
        found: click.Command = import_module(f"steelyard.cli.{cmd_name}").command
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl(list(_COMMANDS.items()))


def refuse(error: FaultError) -> NoReturn:
    """Say what is wrong, arguments as the options they are, and end with the code for bad input."""
    click.echo(str(FaultError(*map(_as_option, error.faults))), err=True)
    if not _flushed():
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115 - for the exit
    raise SystemExit(BAD_INPUT)


def _one_line(error: click.UsageError) -> str:
    """What is wrong with the words after the command, and where to read on."""
    path = error.ctx.command_path if error.ctx else "steelyard"
    said = error.format_message().rstrip(".").replace(". (", " (")
    return f"{path}: {said[:1].lower()}{said[1:]} (see `{path} --help`)"


def _as_option(fault: Fault) -> Fault:
    words = fault.argument.replace("_", "-")
    return replace(fault, argument=f"--{words}") if words else fault


def _flushed() -> bool:
    """Whether all that was printed has left; Python tries again at its exit, and complains."""
    try:
        sys.stdout.flush()
    except OSError:
        return False
    return True


def _completion(ctx: click.Context, _param: click.Parameter, shell: str | None) -> None:
    if shell is not None:
        from steelyard.cli.terminal import complete

        click.echo(complete(ctx.command, shell))
        ctx.exit()


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="steelyard", message="steelyard %(version)s")
@click.option(
    "--install-completion",
    type=click.Choice(["bash", "zsh", "fish"]),
    is_eager=True,
    expose_value=False,
    callback=_completion,
    help="Let this shell complete commands and options, and end.",
)
def main() -> None:
    """Say whether this vehicle, hitch, trailer and load belong together.

    Ratings on the vehicle's own labels and local law come first. An estimate is not a weighing.

    Exit codes: 0 every limit within, 1 something exceeded or likelier so than not, 2 bad input,
    3 nothing exceeded but something tight or unknown.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    if sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb":
        from steelyard.cli.terminal import Emphasis

        sys.stdout = Emphasis(sys.stdout)
