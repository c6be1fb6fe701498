"""What every model of the rig shares: frozen, keyword-only, no unknown keys."""

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Annotated, Any, Generic

from pydantic import AfterValidator, BaseModel, ConfigDict, StringConstraints

from steelyard.fault import Fault, quoted
from steelyard.quantity import N, refused

NAME_PATTERN = r"^[A-Za-z0-9][A-Za-z0-9_ -]{0,47}$"
Name = Annotated[str, StringConstraints(pattern=NAME_PATTERN)]
Title = Annotated[str, StringConstraints(min_length=1, max_length=80)]
Named = Mapping


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise refused(Fault(due="a day such as 2026-05-03", found=quoted(text))) from None


Day = Annotated[str, AfterValidator(_day)]


class Fact(BaseModel, Generic[N]):
    """A frozen group of facts about the rig; a key it doesn't know is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    if not TYPE_CHECKING:  # what its numbers are is for the type checker alone

        def __class_getitem__(cls, _: Any) -> Any:
            return cls
