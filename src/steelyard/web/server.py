"""The application: one page, its live line, the HTTP API, static files."""

import re
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Annotated, Any, Final
from urllib.parse import parse_qs

from anyio import to_thread
from fastapi import APIRouter, Depends, FastAPI, Request, Response, WebSocket
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from steelyard import __version__
from steelyard.fault import FaultError
from steelyard.files.changes import AskError
from steelyard.files.faults import FileFaultError
from steelyard.web.acts import ACTS, Act
from steelyard.web.book import Shelf
from steelyard.web.book.routes import book_api, book_pages
from steelyard.web.exports import SessionOf, add_answers, add_slow_answers
from steelyard.web.guard import PASS, Gate, Guard, cookie, sender
from steelyard.web.live import Lines
from steelyard.web.look import Look
from steelyard.web.page import beginning, templates, whole
from steelyard.web.photo import photo_routes
from steelyard.web.session import Session, Visitor
from steelyard.web.sessions import Sessions, Start, secret
from steelyard.web.work import Works
from steelyard.web.worker_process import Apart

AGE: Final = 60 * 24 * 3600
"""Seconds a browser is remembered."""


class Site:
    """What is served: the gate, everybody's work, the open lines. port: tells this server's cookies
    from another's."""

    def __init__(self, start: Start, gate: Gate, port: int) -> None:
        self.gate, self.lines, self.cookie = gate, Lines(), f"steelyard-{port}"
        self._aside, self._start = Apart(), start
        works = Works(self._aside, start.owned)
        self._benches = Sessions(start, works, shared=gate.code is not None)
        self.shelf = Shelf(start.logbook, works)

    @asynccontextmanager
    async def alive(self, app: FastAPI) -> AsyncIterator[None]:
        """From the first request to the last."""
        del app
        self._aside.begin()
        yield
        await self.lines.end()
        self._aside.end()
        self._benches.end()
        self.shelf.end()

    def session_of(self, request: Request, response: Response) -> Session:
        """The asker's session; a new asker gets a secret."""
        if not self._start.text:
            raise AskError(
                "No rig file was opened: ask under /rig/NUMBER/api of a rig of the book."
            )
        who = secret(cookie(request.headers.get("cookie", ""), self.cookie))
        response.set_cookie(self.cookie, who, max_age=AGE, httponly=True, samesite="strict")
        return self._benches.of(who)

    def visitor_of(self, request: Request) -> Visitor:
        """Who asks."""
        return self.gate.visitor(request.scope)

    @property
    def opens_book(self) -> bool:
        """Whether the page opens with the book, no rig file having been named."""
        return not self._start.text

    def shelf_of(self, request: Request) -> Shelf:
        """The book; where one rig file is shared on a network, for this machine alone."""
        self._admit(self.visitor_of(request))
        return self.shelf

    def rig_of(self, request: Request, rig: int) -> Session:
        """The session of a rig of the book."""
        return self.shelf_of(request).session(rig)

    def asked_of(self, request: Request, response: Response) -> Session:
        """The session of the rig of the book that the address names, else the asker's own: one set
        of calls stands under both."""
        rig = request.path_params.get("rig")
        if rig is None:
            return self.session_of(request, response)
        if not re.fullmatch(r"-?\d{1,40}", rig):
            raise HTTPException(422, f"rig: expected its number in the book, found {rig[:20]!r}")
        return self.rig_of(request, int(rig))

    def owner_of(self, session: Session, visitor: Visitor) -> str:
        """Whose a rig of the book is; nothing where it is of no book, or the asker may not know."""
        if session.rig is None or not visitor.sees_owners:
            return ""
        return self.shelf.rigs.row(session.rig).owner

    def _admit(self, visitor: Visitor) -> None:
        if not (visitor.owner or self.opens_book):
            raise HTTPException(403, "Only the rig that is open is shared here, not the book.")

    async def live_rig(self, socket: WebSocket, rig: int) -> None:
        """The live line of one tab on a rig of the book."""
        visitor = self.gate.visitor(socket.scope)
        try:
            self._admit(visitor)
            session = await to_thread.run_sync(self.shelf.session, rig)
        except (AskError, HTTPException) as error:
            await socket.close(1013, str(getattr(error, "detail", error))[:120])
            return
        await self.lines.serve(socket, session, visitor)

    async def live(self, socket: WebSocket) -> None:
        """The live line of one tab, which has the page's cookie."""
        who = cookie(socket.headers.get("cookie", ""), self.cookie)
        if who is None or secret(who) != who:
            await socket.close(4401, "Open the page first.")
            return
        try:
            session = await to_thread.run_sync(self._benches.of, who)
        except (AskError, FileFaultError) as error:
            await socket.close(1013, str(error)[:120])
            return
        await self.lines.serve(socket, session, self.gate.visitor(socket.scope))


def create_app(start: Start, gate: Gate | None = None, port: int = 0) -> FastAPI:
    """The page for one rig file, or for the book. On a network, all who were let in work on the
    rig file together; on this machine each browser has its own. All who look at a rig of the book
    look at the same. port: tells this server's cookies from another's."""
    site = Site(start, gate or Gate(), port)
    app = FastAPI(
        title="Steelyard",
        version=__version__,
        description="The page's own calls. Ratings on the labels and local law come first; an"
        " estimate is not a weighing.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=site.alive,
    )
    app.add_middleware(Guard, gate=site.gate)

    _pages(app, site)

    @app.get("/favicon.ico", include_in_schema=False)
    def icon() -> Response:
        return RedirectResponse("/static/icon.svg")

    app.add_api_websocket_route("/live", site.live)
    app.add_api_websocket_route("/rig/{rig}/live", site.live_rig)
    _door(app, site.gate)
    calls = api_routes(site.asked_of, site.visitor_of)
    app.include_router(calls, prefix="/api")
    app.include_router(calls, prefix="/rig/{rig}/api", include_in_schema=False)
    app.include_router(book_api(site.shelf_of, site.visitor_of, FAULTS), prefix="/api")
    app.include_router(photo_routes(FAULTS), prefix="/api")
    network = site.gate.code is not None
    app.include_router(book_pages(site.shelf_of, site.visitor_of, network=network))
    _faults(app)
    folder = Path(__file__).parent / "static"
    app.mount("/static", StaticFiles(directory=folder), name="static")
    return app


def _pages(app: FastAPI, site: Site) -> None:
    """A rig's page: that of the file that was opened, or one of the book's."""
    network = site.gate.code is not None

    def shown(request: Request, session: Session, *, walk: bool = False) -> str:
        wide = not walk and "mobile" not in request.headers.get("user-agent", "").lower()
        owner = site.owner_of(session, site.visitor_of(request))
        return whole(session.seen(), Look(wide=wide, walk=walk), network=network, owner=owner)

    def own(request: Request, response: Response, book: str, *, walk: bool = False) -> Response:
        if site.opens_book:
            return RedirectResponse(book)
        answer = HTMLResponse(shown(request, site.session_of(request, response), walk=walk))
        answer.headers.update({"set-cookie": response.headers["set-cookie"]})
        return answer

    @app.get("/", response_class=HTMLResponse, include_in_schema=False)
    def page(request: Request, response: Response) -> Any:
        return own(request, response, "/book")

    @app.get("/walk", response_class=HTMLResponse, include_in_schema=False)
    def walk(request: Request, response: Response) -> Any:
        return own(request, response, "/new", walk=True)

    @app.get("/rig/{rig}/", response_class=HTMLResponse, include_in_schema=False)
    def rig_page(request: Request, session: Annotated[Session, Depends(site.rig_of)]) -> str:
        return shown(request, session)

    @app.get("/rig/{rig}/walk", response_class=HTMLResponse, include_in_schema=False)
    def rig_walk(request: Request, session: Annotated[Session, Depends(site.rig_of)]) -> str:
        return shown(request, session, walk=True)

    @app.get("/new", response_class=HTMLResponse, include_in_schema=False)
    def new(_shelf: Annotated[Shelf, Depends(site.shelf_of)]) -> str:
        return beginning()


def _door(app: FastAPI, gate: Gate) -> None:
    """Where the code is told. It comes in a body, never in an address, which others keep."""

    def asked(said: str, status: int = 200) -> HTMLResponse:
        page = templates().get_template("enter.html").render(said=said)
        return HTMLResponse(page, status)

    @app.get("/enter", response_class=HTMLResponse, include_in_schema=False)
    def door() -> Any:
        return asked("")

    @app.post("/enter", include_in_schema=False)
    async def enter(request: Request) -> Any:
        said, who = _code((await request.body()).decode("utf-8", "replace")), sender(request.scope)
        if gate.enter(said, who):
            answer = RedirectResponse("/", 303)
            answer.set_cookie(PASS, gate.pass_, httponly=True, samesite="strict")
            return answer
        wait = gate.wait(who)
        if not wait:
            return asked("That is not the code.", 401)
        page = asked(f"Too many wrong codes from here: wait {wait:.0f} seconds.", 429)
        page.headers["retry-after"] = f"{wait:.0f}"
        return page


def _code(form: str) -> str:
    """The code in a form; "" where the form holds none, or more than this page's asks."""
    try:
        return parse_qs(form, max_num_fields=8).get("code", [""])[0][:40]
    except ValueError:
        return ""


def _faults(app: FastAPI) -> None:
    """Every fault is one sentence: on a page for who reads, as data for a program."""

    def told(request: Request, fault: str, status: int, headers: Any = None) -> Response:
        if "text/html" not in request.headers.get("accept", ""):
            return JSONResponse({"fault": fault}, status, headers)
        page = templates().get_template("fault.html").render(fault=fault)
        return HTMLResponse(page, status, headers)

    @app.exception_handler(AskError)
    @app.exception_handler(FaultError)
    def refused(request: Request, error: Exception) -> Response:
        return told(request, str(error), 409)

    @app.exception_handler(Exception)
    def broken(request: Request, error: Exception) -> Response:
        where = f"{request.method} {request.url.path}"[:80]
        kind = type(error).__name__
        why = f"Steelyard failed at {where} ({kind}). What was accepted before is kept."
        return told(request, why, 500)

    @app.exception_handler(HTTPException)
    def failed(request: Request, error: HTTPException) -> Response:
        return told(request, str(error.detail), error.status_code, error.headers)

    @app.exception_handler(RequestValidationError)
    def unread(request: Request, error: RequestValidationError) -> Response:
        one = error.errors()[0]
        where = ".".join(str(part) for part in one["loc"])
        return told(request, f"{where}: {one['msg'][:1].lower()}{one['msg'][1:]}", 422)


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
