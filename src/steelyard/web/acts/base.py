"""What a person can do: each act is one form and one function on the session."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from pydantic import BaseModel, ConfigDict

from steelyard.files.changes import AskError
from steelyard.web.session import Session, Visitor

AGAIN: Final = "That was done already, before the line was lost."
NOBODY: Final = Visitor()
"""Whoever asks where nobody else can."""


class Ask(BaseModel):
    """What an act is told, if anything; unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", str_max_length=2000, frozen=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """How a long act tells where it is, and learns that it is no longer wanted."""

    stopped: Callable[[], bool] = lambda: False
    tell: Callable[[str], None] = lambda words: None


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """An act: its name in the API, what it does in a sentence, its form, its function.

    `do` changes the session and returns a sentence for the person; AskError refuses. `changes` is
    False for an act that only answers. A `long` act takes a Watch too and holds the session's lock
    itself, only where it must.
    """

    name: str
    title: str
    ask: type[Ask]
    do: Callable[..., str]
    changes: bool = True
    long: bool = False

    def on(
        self,
        session: Session,
        ask: Ask,
        watch: Watch | None = None,
        visitor: Visitor = NOBODY,
        key: str = "",
    ) -> str:
        """Do it; once, however often an act of one key is sent. What is said is in the words of
        the rig's trade."""
        try:
            words = self._done(session, ask, watch or Watch(), visitor, key)
        except AskError as error:
            raise AskError(session.work.trade.said(str(error)), error.mend) from None
        return session.work.trade.said(words)

    def _done(self, session: Session, ask: Ask, watch: Watch, visitor: Visitor, key: str) -> str:
        if self.long:
            return self.do(session, ask, watch)
        with session.turn(visitor, key):
            if session.did(key):
                return AGAIN
            words = self.do(session, ask)
            if self.changes:
                session.told = (visitor.name, words)
            return words


def require_shown(shown: str, now: str, wanted: str) -> None:
    """Refuse the second of two who write one value, unless both write the same. shown: what stood
    there when it was asked."""
    if now not in (shown, wanted):
        did = f"put “{now}” here" if now else "taken this out"
        again = f"to put “{wanted}” here, say it again" if wanted else "say it again to take it out"
        raise AskError(f"Somebody else has {did} meanwhile, and it stays: {again}.")
