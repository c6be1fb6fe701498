"""Acts on sway: a run through a disturbance, and advice seen moved."""

from typing import Final, Literal

from pydantic import Field

from steelyard.files.changes import AskError
from steelyard.web.acts.base import Act, Ask
from steelyard.web.session import Session
from steelyard.web.swaying import MANOEUVRES, told, traced

KEPT: Final = "run"
"""Where the session keeps the last run, with the state, stage and speed it was made for."""


class Run(Ask):
    """What happens to the rig, and how fast it goes."""

    what: Literal["gust", "truck", "lane-change", "impulse", "braking"] = "gust"
    stage: str | None = Field(default=None, description="the stage's key; the worst if left out")
    speed: str | None = Field(default=None, description='"65 mph"; the rig\'s own if left out')


def run(session: Session, ask: Run) -> str:
    """Run the rig through it; nothing is changed."""
    if ask.what not in MANOEUVRES:
        raise AskError(f"what: expected one of {', '.join(MANOEUVRES)}, found {ask.what!r}")
    stage = ask.stage or session.work.found.worst_stage.key
    trace, speed = traced(session.work, ask.what, stage, ask.speed)
    session.lay(KEPT, (session.state, stage, ask.what, speed, trace))
    return told(trace, ask.what)


ACTS: Final = (Act(name="run", title="Run the rig through a disturbance", ask=Run, do=run),)
