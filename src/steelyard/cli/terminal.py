"""What only a terminal has: bold verdicts, and a shell that completes words."""

import re
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, TextIO

import click
from click.shell_completion import get_completion_class

from steelyard.words.assessed import MARKS

_VERDICT: Final = re.compile(
    f"^(?:.*: )?({'|'.join(map(re.escape, MARKS.values()))})", re.MULTILINE
)
_PLACES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "bash": ".local/share/bash-completion/completions/steelyard",
        "zsh": ".zfunc/_steelyard",
        "fish": ".config/fish/completions/steelyard.fish",
    }
)
"""Where a shell looks for what it completes, in the user's home; zsh where its `fpath` says so."""


class Emphasis:
    """A terminal on which the verdict that begins a line is bold; words and marks say it too."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write it, its verdicts bold."""
        self._stream.write(_VERDICT.sub(_bold, text))
        return len(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


def _bold(found: "re.Match[str]") -> str:
    return found[0].replace(found[1], click.style(found[1], bold=True))


def complete(command: click.Command, shell: str) -> str:
    """Write the shell's script to where it looks for one, and say where that is."""
    kind = get_completion_class(shell)
    assert kind is not None
    where = Path.home() / _PLACES[shell]
    where.parent.mkdir(parents=True, exist_ok=True)
    script = kind(command, {}, "steelyard", "_STEELYARD_COMPLETE").source()
    where.write_text(script, encoding="utf-8")
    more = "; `fpath+=~/.zfunc` before `compinit` in .zshrc is due" if shell == "zsh" else ""
    return f"Wrote {where}: a new {shell} completes steelyard's words{more}."
