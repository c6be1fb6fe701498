"""A rig file out of a photo, scan or PDF of its card."""

from typing import Annotated, Any

from fastapi import APIRouter, Body
from pydantic import BaseModel

from steelyard.cards import unpacked
from steelyard.fault import FaultError, said
from steelyard.files.changes import AskError
from steelyard.files.limits import LIMITS
from steelyard.files.reader import parse_rig
from steelyard.files.sandboxed import opened

ADDRESS = "/card/text"
MOST = LIMITS["picture bytes"].most
NONE = (
    "expected a photo of a card's back with its codes sharp and whole, found no code: come closer,"
    " or print it larger."
)


class Found(BaseModel):
    """The rig file that the card's codes hold."""

    text: str


def photo_routes(responses: Any) -> APIRouter:
    """The one address; nothing of the picture is kept."""
    router = APIRouter(responses=responses)

    @router.post(ADDRESS, summary="The rig file in a photo of its card", operation_id="card-text")
    def text(
        picture: Annotated[bytes, Body(media_type="application/octet-stream", min_length=1)],
    ) -> Found:
        return Found(text=read(picture))

    return router


def read(picture: bytes) -> str:
    """The rig file in a picture; AskError in one sentence where it holds none."""
    try:
        codes = opened("codes", picture, "")
        if not codes:
            raise AskError(NONE)
        found = unpacked(codes)
        parse_rig(found, "card")
    except FaultError as error:
        raise AskError(f"{said(error.faults[0])}.") from None
    return found
