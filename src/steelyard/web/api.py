"""The HTTP API, the same calls as the page: every act by POST, every answer by GET."""

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends
from pydantic import BaseModel

from steelyard.web.acts import ACTS, Act
from steelyard.web.exports import SessionOf, add_answers, add_slow_answers
from steelyard.web.session import Session, Visitor


class Said(BaseModel):
    """What an act did, in a sentence, and the revision of the work after it."""

    said: str
    revision: int


class Fault(BaseModel):
    """Why it was not done, in a sentence."""

    fault: str


FAULTS: dict[int | str, dict[str, Any]] = {
    409: {"model": Fault, "description": "It cannot be done to this rig as it is"},
    422: {"model": Fault, "description": "The question is not of the form due"},
    400: {"model": Fault, "description": "The body cannot be read"},
    401: {"model": Fault},
    403: {"model": Fault},
    413: {"model": Fault},
    421: {"model": Fault},
}


VisitorOf = Callable[..., Visitor]


def api_routes(session_of: SessionOf, visitor_of: VisitorOf) -> APIRouter:
    """The routes, each on the session of the asker."""
    router = APIRouter(responses=FAULTS)
    for act in ACTS.values():
        router.add_api_route(
            f"/{act.name}",
            _endpoint(act, session_of, visitor_of),
            methods=["POST"],
            response_model=Said,
            summary=act.title,
            operation_id=act.name,
        )

    add_answers(router, session_of)
    add_slow_answers(router, session_of)
    return router


def _endpoint(act: Act, session_of: SessionOf, visitor_of: VisitorOf) -> Callable[..., Said]:
    def endpoint(ask: Any, session: Any, visitor: Any) -> Said:
        return Said(said=act.on(session, ask, visitor=visitor), revision=session.revision)

    endpoint.__annotations__ = {
        "ask": act.ask,
        "session": Annotated[Session, Depends(session_of)],
        "visitor": Annotated[Visitor, Depends(visitor_of)],
        "return": Said,
    }
    endpoint.__name__ = act.name
    return endpoint
