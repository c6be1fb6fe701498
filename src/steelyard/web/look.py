"""What one tab is looking at: nothing here is kept, each message brings it along."""

from functools import cached_property
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from steelyard.quantity import System
from steelyard.web.work import Work
from steelyard.words.assessed import system_of

Word = Annotated[str, Field(max_length=80)]


class Look(BaseModel):
    """The stage in view, which sections are unfolded, the width, the units, what is plotted; walk:
    whether it is the walk round the rig that is looked at."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    stage: Word | None = None
    open: Annotated[tuple[Word, ...], Field(max_length=20)] = ("load", "trip", "limits")
    wide: bool = True
    units: System | None = None
    plot: Word = "share"
    walk: bool = False
    choice: dict[Word, Word] = Field(default_factory=dict, max_length=20)

    @cached_property
    def key(self) -> str:
        """All that a part can depend on; which sections are unfolded is not among it."""
        return self.model_dump_json(exclude={"open"})

    def system(self, work: Work) -> System:
        """The reader's units."""
        return system_of(work.found, self.units)

    def at(self, work: Work) -> str:
        """The stage in view: the one chosen, else the worst."""
        keys = [stage.key for stage in work.found.stages]
        return self.stage if self.stage in keys else work.found.worst_stage.key
