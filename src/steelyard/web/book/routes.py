"""The book's addresses: its list as a page and as data, and its acts by POST."""

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse, Response
from pydantic import BaseModel

from steelyard.files.demo import demo_rigs
from steelyard.web.book import beside, lot
from steelyard.web.book.acts import ACTS, BookAct
from steelyard.web.book.listing import Wanted, facts, lines, mark
from steelyard.web.book.shelf import Shelf
from steelyard.web.page import templates
from steelyard.web.session import Visitor


class Kept(BaseModel):
    """What an act did, in a sentence; the rig's number in the book, and where it is."""

    said: str
    rig: int
    at: str


class Listed(BaseModel):
    """A rig of the book: its number, name, verdict (none yet: empty) and what decides, when it was
    weighed last and changed last (UTC), and whether it is put away; its owner and note where the
    asker may know them."""

    rig: int
    at: str
    name: str
    owner: str | None
    note: str | None
    verdict: str
    decides: str
    weighed: str | None
    changed: str
    away: bool


Asked = Annotated[Wanted, Query()]
ShelfOf = Callable[..., Shelf]
VisitorOf = Callable[..., Visitor]


def where(rig: int) -> str:
    """A rig's page."""
    return f"/rig/{rig}/"


def book_pages(shelf_of: ShelfOf, visitor_of: VisitorOf, *, network: bool) -> APIRouter:
    """The list as a page, and the part of it that changes."""
    Looked = Annotated[Shelf, Depends(shelf_of)]
    By = Annotated[Visitor, Depends(visitor_of)]
    router = APIRouter(include_in_schema=False)

    @router.get("/book", response_class=HTMLResponse)
    def page(wanted: Asked, shelf: Looked, visitor: By) -> str:
        found = facts(shelf, wanted, owners=visitor.sees_owners)
        more = {"examples": list(demo_rigs()), "network": network}
        return templates().get_template("book.html").render(**found, **more)

    @router.get("/book/list", response_class=HTMLResponse)
    def part(request: Request, wanted: Asked, shelf: Looked, visitor: By) -> Response:
        now = mark(shelf, wanted, owners=visitor.sees_owners)
        if request.query_params.get("mark") == now:
            return Response(status_code=204)
        found = facts(shelf, wanted, owners=visitor.sees_owners)
        page = templates().get_template("book_list.html").render(**found)
        return HTMLResponse(page, headers={"x-mark": now})

    @router.get("/book/match/{rig}", response_class=HTMLResponse)
    def matched(
        rig: int, shelf: Looked, others: Annotated[lot.With, Query(alias="with")] = "trailers"
    ) -> str:
        return templates().get_template("book_lot.html").render(**lot.facts(shelf, rig, others))

    @router.get("/book/beside/{rig}", response_class=HTMLResponse)
    def side_by_side(
        rig: int, shelf: Looked, other: Annotated[int | None, Query(alias="with")] = None
    ) -> str:
        found = beside.facts(shelf, rig, other)
        return templates().get_template("book_beside.html").render(**found)

    return router


def book_api(shelf_of: ShelfOf, visitor_of: VisitorOf, responses: Any) -> APIRouter:
    """The same for programs."""
    router = APIRouter(responses=responses)
    for act in ACTS:
        router.add_api_route(
            f"/book/{act.name}",
            _endpoint(act, shelf_of, visitor_of),
            methods=["POST"],
            response_model=Kept,
            summary=act.title,
            operation_id=f"book-{act.name}",
        )

    @router.get("/book", summary="The rigs of the book", operation_id="book")
    def listed(
        shelf: Annotated[Shelf, Depends(shelf_of)],
        visitor: Annotated[Visitor, Depends(visitor_of)],
    ) -> list[Listed]:
        return [
            Listed(
                rig=one.row.id,
                at=where(one.row.id),
                name=one.row.name,
                owner=one.row.owner if visitor.sees_owners else None,
                note=one.row.note if visitor.sees_owners else None,
                verdict=one.verdict,
                decides=one.glance.decides if one.glance else "",
                weighed=one.weighed or None,
                changed=one.row.changed,
                away=one.row.away,
            )
            for one in lines(shelf)[0]
        ]

    return router


def _endpoint(act: BookAct, shelf_of: ShelfOf, visitor_of: VisitorOf) -> Callable[..., Kept]:
    def endpoint(ask: Any, shelf: Any, visitor: Any) -> Kept:
        done = act.do(shelf, ask, visitor)
        return Kept(said=done.said, rig=done.rig, at=where(done.rig))

    endpoint.__annotations__ = {
        "ask": act.ask,
        "shelf": Annotated[Shelf, Depends(shelf_of)],
        "visitor": Annotated[Visitor, Depends(visitor_of)],
        "return": Kept,
    }
    endpoint.__name__ = f"book_{act.name}"
    return endpoint
