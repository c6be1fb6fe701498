"""What was felt, told in one line, as a reading of the rig."""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from steelyard.fault import FaultError, quoted
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import validated
from steelyard.rig import Felt, Rig
from steelyard.rig.felt import felt_faults

LINE: Final = re.compile(
    r"(?:(?P<settled>settled) in (?P<fewest>\d{1,2})(?: (?:to|or) (?P<most>\d{1,2}))? swings?"
    r"|(?P<steady>steady) for (?P<lasting>.+?)|(?P<swayed>swayed)) at (?P<speed>.+)"
)
FORMS: Final = (
    'what was felt with its speed: "settled in 2 to 3 swings at 62 mph", "steady for 1 h at 60 mph"'
    ' or "swayed at 55 mph"'
)


def with_felt(rig: Rig, lines: Sequence[str], stage: str | None) -> Rig:
    """The rig with what was felt with the load of a stage, the first if unsaid, beside what its
    file tells. Raises FaultError for a line that says no such thing, or none with its speed."""
    told = {f"told {number}": _felt(line, stage) for number, line in enumerate(lines, start=1)}
    for fault in felt_faults(told, rig.stages):
        raise FaultError(replace(fault, path=(), argument="felt"))
    return rig.model_copy(update={"felt": {**rig.felt, **told}})


def _felt(line: str, stage: str | None) -> Felt:
    match = LINE.fullmatch(line.strip())
    if match is None:
        raise FaultError(argument="felt", due=FORMS, found=quoted(line))
    what = next(word for word in ("settled", "steady", "swayed") if match[word])
    data: dict[str, Any] = {"what": what, "speed": match["speed"]}
    if match["fewest"]:
        data["swings"] = match["fewest"] + (f" to {match['most']}" if match["most"] else "")
    if match["lasting"]:
        data["lasting"] = match["lasting"]
    if stage is not None:
        data["stage"] = stage
    try:
        return validated(Felt, data, "", "")
    except FileFaultError as error:
        raise FaultError(replace(error.faults[0], path=(), argument="felt")) from None
