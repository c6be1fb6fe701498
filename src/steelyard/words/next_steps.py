"""What to do next about an answer, the most pressing first."""

from collections.abc import Iterator

from steelyard.assessment import Assessment
from steelyard.quantity import System
from steelyard.ratings import Standing
from steelyard.words.assessed import measured, unsure
from steelyard.words.unstated import instead, plainly

CURES = "`steelyard stow` plans it, `steelyard move` tries one thing"


def next_steps(found: Assessment, system: System) -> Iterator[str]:
    """What the worst stage asks for: weight moved, a weighing, a rating looked up."""
    stage = found.worst_stage
    over = [one for one in stage.limits if one.verdict == "exceeded"]
    if over:
        yield f"Move or leave weight so that {over[0].title} holds: {CURES}."
    for one in stage.limits:
        if one.verdict == "cannot tell":
            yield f"{one.title}: {unsure(one, found, system)}"
    if found.missing:
        yield f"List what the file leaves out: {', '.join(found.missing)}."
    for one in stage.limits:
        if one.verdict == "unknown":
            yield look_up(one, system)
    tight = next((one for one in stage.limits if one.verdict == "tight"), None)
    if tight is not None:
        names = [plainly(name) for name in stage.widened.get(tight.name, ())]
        yield f"Weigh it to be surer of {tight.title}" + (
            f": what widens it most is {', '.join(names)}." if names else "."
        )
    if found.verdict == "within":
        yield "Print the card: `steelyard card`."
        if found.assumed:
            yield f"State or weigh {plainly(found.assumed[0].name)}: {_how(found)}."


def _how(found: Assessment) -> str:
    words = instead(found.assumed[0].name)
    return "it moves the answer most" if words.startswith("weighing the rig") else words


def look_up(one: Standing, system: System) -> str:
    """Where to read a rating that is missing."""
    return f"Look at {one.due}, to hold {one.title} ({measured(one.value, one, system)}) against."
