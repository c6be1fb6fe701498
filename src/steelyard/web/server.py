"""The application: one page, its live line, the HTTP API, static files."""

import secrets
from pathlib import Path
from typing import Annotated, Any, Final
from urllib.parse import parse_qs

from fastapi import Depends, FastAPI, Request, Response, WebSocket
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from steelyard import __version__
from steelyard.files.faults import FileFaultError
from steelyard.web.api import api_routes
from steelyard.web.bench import Bench
from steelyard.web.benches import Benches, Start
from steelyard.web.guard import Gate, Guard
from steelyard.web.live import Lines
from steelyard.web.look import Look
from steelyard.web.page import templates, whole
from steelyard.web.state import AskError

AGE: Final = 60 * 24 * 3600
"""Seconds a browser is remembered."""


def create_app(start: Start, gate: Gate | None = None, port: int = 0) -> FastAPI:
    """The page for one rig file. port: tells this server's cookies from another's."""
    gate, benches, lines = gate or Gate(), Benches(start), Lines()
    cookie = f"steelyard-{port}"
    app = FastAPI(
        title="Steelyard",
        version=__version__,
        description="The page's own calls. Ratings on the labels and local law come first; an"
        " estimate is not a weighing.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
    )
    app.add_middleware(Guard, gate=gate)

    def bench_of(request: Request, response: Response) -> Bench:
        """The asker's bench; a new asker gets a secret."""
        who = request.cookies.get(cookie) or secrets.token_urlsafe(24)
        response.set_cookie(cookie, who, max_age=AGE, httponly=True, samesite="strict")
        return benches.of(who)

    @app.get("/", response_class=HTMLResponse, include_in_schema=False)
    def page(
        request: Request, bench: Annotated[Bench, Depends(bench_of)], response: Response
    ) -> Any:
        wide = "mobile" not in request.headers.get("user-agent", "").lower()
        answer = HTMLResponse(whole(bench, Look(wide=wide)))
        answer.headers.update({"set-cookie": response.headers["set-cookie"]})
        return answer

    @app.get("/favicon.ico", include_in_schema=False)
    def icon() -> Response:
        return RedirectResponse("/static/icon.svg")

    @app.websocket("/live")
    async def live(socket: WebSocket) -> None:
        who = socket.cookies.get(cookie)
        if who is None:
            await socket.close(4401, "Open the page first.")
            return
        await lines.serve(socket, benches.of(who))

    @app.get("/enter", response_class=HTMLResponse, include_in_schema=False)
    def door(code: str = "") -> Any:
        return _entered(gate, code) if code else _door("")

    @app.post("/enter", include_in_schema=False)
    async def enter(request: Request) -> Any:
        said = parse_qs((await request.body()).decode("utf-8", "replace")).get("code", [""])
        return _entered(gate, said[0][:40])

    app.include_router(api_routes(bench_of), prefix="/api")
    _faults(app)
    folder = Path(__file__).parent / "static"
    app.mount("/static", StaticFiles(directory=folder), name="static")
    return app


def _entered(gate: Gate, code: str) -> Response:
    if not gate.enter(code):
        return _door("That is not the code.", 401)
    answer = RedirectResponse("/", 303)
    answer.set_cookie("steelyard-pass", gate.pass_, httponly=True, samesite="strict")
    return answer


def _door(said: str, status: int = 200) -> HTMLResponse:
    return HTMLResponse(templates().get_template("enter.html").render(said=said), status)


def _faults(app: FastAPI) -> None:
    """Every fault is one sentence."""

    @app.exception_handler(AskError)
    @app.exception_handler(FileFaultError)
    def refused(request: Request, error: Exception) -> JSONResponse:
        del request
        return JSONResponse({"fault": str(error)}, 409)

    @app.exception_handler(HTTPException)
    def failed(request: Request, error: HTTPException) -> JSONResponse:
        del request
        return JSONResponse({"fault": str(error.detail)}, error.status_code, error.headers)

    @app.exception_handler(RequestValidationError)
    def unread(request: Request, error: RequestValidationError) -> JSONResponse:
        del request
        one = error.errors()[0]
        where = ".".join(str(part) for part in one["loc"])
        return JSONResponse({"fault": f"{where}: {one['msg'][:1].lower()}{one['msg'][1:]}"}, 422)
