"""What every model of the rig shares: frozen, keyword-only, no unknown keys."""

from collections.abc import Mapping
from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

NAME_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9_ -]{0,47}$"
Name = Annotated[str, StringConstraints(pattern=NAME_PATTERN)]
Title = Annotated[str, StringConstraints(min_length=1, max_length=80)]
Named = Mapping


class Fact(BaseModel):
    """A frozen group of facts about the rig; a key it doesn't know is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")
