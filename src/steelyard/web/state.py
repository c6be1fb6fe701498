"""What a person works on: a rig as plain data and its readings; and what follows from them."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from steelyard.files.autosave import digest
from steelyard.files.changes import AskError, Data
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import validated
from steelyard.rig import Rig, one_spelling
from steelyard.scene import under_way
from steelyard.travel import TripError


@dataclass(frozen=True, kw_only=True)
class State:
    """One moment of the work; every change makes a new one.

    data: the rig file as plain values. ticket: readings as plain values of a ticket, and
    `weighed`, the rig's data as it was when they were taken; `run` names the weighing in the
    logbook. All None before any reading. text: the file that the rig was taken in from, None for
    the session's own; its comments are kept.
    """

    data: Data
    ticket: Data | None = None
    weighed: Data | None = None
    run: str | None = None
    text: str | None = None

    def __post_init__(self) -> None:
        """One spelling of each key, whatever the file's is."""
        object.__setattr__(self, "data", one_spelling(self.data))

    @staticmethod
    def of(plain: Mapping[str, Any]) -> "State":
        """As it was written; KeyError where it is none."""
        return State(
            data=plain["data"],
            ticket=plain["ticket"],
            weighed=plain["weighed"],
            run=plain.get("run"),
            text=plain.get("text"),
        )

    @staticmethod
    def read(text: str) -> "State":
        """As `written` wrote it."""
        return State.of(json.loads(text))

    def written(self) -> str:
        """As text, JSON, to be kept."""
        return json.dumps(
            {
                "data": self.data,
                "ticket": self.ticket,
                "weighed": self.weighed,
                "run": self.run,
                "text": self.text,
            }
        )

    @cached_property
    def name(self) -> str:
        """The digest of what it holds: two states of one name hold the same, in one order."""
        return digest(self.written())

    def same(self, other: "State") -> bool:
        """Whether nothing differs, the order of the stages included."""
        return self == other and list(self.data.get("stages", ())) == list(
            other.data.get("stages", ())
        )

    def believes(self, other: "State") -> bool:
        """Whether rig and readings are the same: what was worked out for one still holds."""
        return self.data == other.data and self.ticket == other.ticket

    def with_data(self, data: Data) -> "State":
        """The same readings on a changed rig."""
        return replace(self, data=data)


def rig_of(data: Data, name: str) -> Rig:
    """The rig in plain data, whose trip can happen; AskError with one sentence a fault."""
    try:
        rig = validated(Rig, data, "", name)
        under_way(rig)
    except FileFaultError as error:
        raise AskError(str(error)) from None
    except TripError as error:
        raise AskError(f"{name}, {error}") from None
    return rig
