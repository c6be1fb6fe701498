"""Laying a loading aside, to hold the next one against it."""

from typing import Final

from steelyard.web.acts.base import Act, Ask
from steelyard.web.session import Session

ASIDE: Final = "aside"
"""Where the session keeps what is to be compared with."""


class Nothing(Ask):
    """No question."""


def aside(session: Session, ask: Nothing) -> str:
    """Keep the rig as it is now, to compare later ones with it."""
    del ask
    session.lay(ASIDE, session.work)
    return "Laid aside as it is now: change something, and see what that did."


ACTS: Final = (
    Act(name="aside", title="Lay this loading aside to compare with", ask=Nothing, do=aside),
)
