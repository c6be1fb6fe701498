"""Which browser has which bench, and finding its work again after a restart."""

import os
import tomllib
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from threading import Lock
from typing import Any, Final

from steelyard.files.autosave import Autosave
from steelyard.files.reader import RIG_FILE, parse_rig, read_text
from steelyard.logbook import default_path
from steelyard.web.bench import Bench
from steelyard.web.state import State

MOST: Final = 64
"""Browsers at once; the one unseen for longest makes room, its work being kept on disk."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """What every new browser starts from: the rig file's text, and where it lies, if anywhere."""

    text: str
    name: str
    path: Path | None = None
    logbook: Path = field(default_factory=lambda: default_path(os.environ))

    @property
    def beside(self) -> Path:
        """The file that unsaved work is kept beside."""
        return self.path or self.logbook.with_name("unnamed-rig.toml")

    @staticmethod
    def at(path: Path) -> "Start":
        """From a rig file; FileFaultError where it is none."""
        text = read_text(path, RIG_FILE.noun)
        parse_rig(text, path.name)
        return Start(text=text, name=path.name, path=path)


class Benches:
    """The benches of all browsers, by their secret."""

    def __init__(self, start: Start) -> None:
        self._start = start
        self._benches: OrderedDict[str, Bench] = OrderedDict()
        self._lock = Lock()

    def of(self, who: str) -> Bench:
        """The bench of one browser; made, or found again, when first asked for."""
        with self._lock:
            if who not in self._benches:
                self._benches[who] = self._made(who)
            self._benches.move_to_end(who)
            while len(self._benches) > MOST:
                self._benches.popitem(last=False)
            return self._benches[who]

    def _made(self, who: str) -> Bench:
        start = self._start
        text = read_text(start.path, RIG_FILE.noun) if start.path else start.text
        state = State(data=tomllib.loads(text))
        keeper, trouble = self._keeper(who, text)
        bench = Bench(state, text, start.path, start.name, keeper, start.logbook)
        bench.remark = trouble
        kept = keeper.found() if keeper else None
        if kept is not None and kept.states:
            bench.restore([_state(one) for one in kept.states], kept.at, kept.revision)
            if not kept.same_base and bench.unsaved:
                bench.remark = (
                    f"{start.name} has changed on disk since this was worked on: this is your own"
                    " unsaved work, not what the file holds now."
                )
        return bench

    def _keeper(self, who: str, text: str) -> tuple[Autosave | None, str]:
        try:
            self._start.beside.parent.mkdir(parents=True, exist_ok=True)
            return Autosave(self._start.beside, who, text), ""
        except OSError:
            return None, (
                "Unsaved work cannot be kept here (the folder takes no file): save or download"
                " before you close this."
            )


def _state(plain: Mapping[str, Any]) -> State:
    return State(
        data=plain["data"],
        ticket=plain["ticket"],
        weighed=plain["weighed"],
        run=plain.get("run"),
        text=plain.get("text"),
    )
