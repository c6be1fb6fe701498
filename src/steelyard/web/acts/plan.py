"""Finding places for everything: a long act with progress; its plan is laid aside, then applied."""

from typing import Annotated, Final

from pydantic import Field

from steelyard.files import changes, names
from steelyard.files.changes import AskError, asking
from steelyard.files.edits import station_text
from steelyard.quantity import QuantityError, parse
from steelyard.stowing.program import Effort
from steelyard.stowing.program import Watch as SolverWatch
from steelyard.stowing.question import Wish
from steelyard.stowing.stow import Stowed, stow
from steelyard.web.acts.base import Act, Ask, Watch
from steelyard.web.acts.load import changed
from steelyard.web.session import Session
from steelyard.web.state import State
from steelyard.words.stowed import plan_verdict

KEPT: Final = "plan"
"""Where the session keeps the plan that was found, with the state it was found for."""


class Find(Ask):
    """What is wanted of the plan."""

    target: str | None = Field(default=None, description='tongue share aimed at: "12.5 %"')
    keep: Annotated[tuple[str, ...], Field(max_length=200)] = Field(
        default=(), description="items that stay where they are"
    )
    seconds: float = Field(default=10.0, ge=1.0, le=120.0, description="s to look, at most")


class Apply(Ask):
    """How many of the plan's moves; all when left out."""

    moves: int | None = Field(default=None, ge=1)
    cure: bool = Field(default=False, description="only the moves that mend what is wrong now")


def find(session: Session, ask: Find, watch: Watch) -> str:
    """Look for places; nothing moves yet."""
    work, state = session.work, session.state
    wish = Wish(target=_share(ask.target), keep=ask.keep, effort=Effort(seconds=ask.seconds))
    watch.tell("Looking for places…")

    def tell(name: str, best: float, bound: float) -> None:
        watch.tell(f"{_GOALS.get(name, name)}: {best:z,.1f} found, at least {bound:z,.1f}")

    with asking(ValueError):
        found = stow(work.rig, work.estimate, wish, SolverWatch(stopped=watch.stopped, tell=tell))
    with session.lock:
        session.lay(KEPT, (state, found))
    return plan_verdict(found)


def apply(session: Session, ask: Apply) -> str:
    """Slide and move what the plan does, in its order; one step to undo."""
    laid: tuple[State, Stowed] | None = session.laid(KEPT)
    if laid is None or laid[1].found is None:
        raise AskError("There is no plan to apply: find places first.")
    state, found = laid
    if not session.state.believes(state):
        raise AskError(
            "The rig or its readings have changed since this plan was found: find places again."
        )
    cure = found.cure.order if found.cure else None
    order = cure if ask.cure else found.order
    moves = (order.moves if order else ())[: ask.moves]
    new = dict(session.state.data)
    for slide in found.slides:
        station = station_text(found.rig, slide.item, slide.to)
        new = changes.put(new, ("items", slide.item, "station"), station)
    for move in moves:
        new = changes.moved(new, move.item, move.to)
    left = found.left if ask.moves is None and not ask.cure else ()
    for item in left:
        new = names.dropped(new, "items", item)
    home = f", {', '.join(left)} left home" if left else ""
    slid = f"{len(found.slides)} slid, " if found.slides else ""
    said = changed(session, f"{slid}{len(moves)} moved{home}", new)
    session.lay(KEPT, None)
    return said


def drop(session: Session, _ask: Ask) -> str:
    """Lay the plan away."""
    session.lay(KEPT, None)
    return "The plan is laid away."


def _share(text: str | None) -> float | None:
    if text is None:
        return None
    with asking(QuantityError, of="target"):
        found = parse(text if "%" in text else f"{text} %", "share").value
    if not 0.0 < found < 0.5:
        raise AskError(f"target: expected a share above 0 and under 50 %, found {text!r}")
    return found


_GOALS: Final = {"share": "Ball, kg from its target", "spread": "Weight near the axles, kg m²"}

ACTS: Final = (
    Act(name="find", title="Find places for everything", ask=Find, do=find, long=True),
    Act(name="apply", title="Apply the plan that was found", ask=Apply, do=apply),
    Act(name="drop", title="Lay the plan away", ask=Ask, do=drop),
)
