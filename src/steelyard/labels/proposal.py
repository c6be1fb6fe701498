"""A number that a label says, beside its words."""

from dataclasses import dataclass
from typing import Literal

Status = Literal["checked", "single", "refused"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A number that a label says: the key it states, its text as a rig file has it (None where it
    cannot be had), the line it stands in, and why it is no more than it is."""

    at: str
    text: str | None
    words: str
    status: Status
    why: str
