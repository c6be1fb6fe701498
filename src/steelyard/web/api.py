"""The HTTP API, the same calls as the page: every act by POST, every answer by GET."""

from collections.abc import Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Response
from pydantic import BaseModel

from steelyard.files.report import report, weighing_report
from steelyard.web.acts import ACTS, Act
from steelyard.web.acts.document import as_text
from steelyard.web.bench import Bench
from steelyard.web.readings import ticket_text
from steelyard.web.state import AskError
from steelyard.weighing import unobservable

BenchOf = Callable[..., Bench]


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


def api_routes(bench_of: BenchOf) -> APIRouter:
    """The routes, each on the bench of the asker."""
    router = APIRouter(responses=FAULTS)
    for act in ACTS.values():
        router.add_api_route(
            f"/{act.name}",
            _endpoint(act, bench_of),
            methods=["POST"],
            response_model=Said,
            summary=act.title,
            operation_id=act.name,
        )

    @router.get("/rig", summary="The rig file as plain values")
    def rig(bench: Annotated[Bench, Depends(bench_of)]) -> dict[str, Any]:
        return dict(bench.state.data)

    @router.get("/rig.toml", summary="The rig file as text", response_class=Response)
    def text(bench: Annotated[Bench, Depends(bench_of)]) -> Response:
        name = "".join(c if c.isalnum() or c in "-." else "-" for c in bench.name)
        return Response(
            as_text(bench),
            media_type="application/toml",
            headers={"content-disposition": f'attachment; filename="{name}"'},
        )

    @router.get("/ticket.toml", summary="The readings as a ticket file", response_class=Response)
    def ticket(bench: Annotated[Bench, Depends(bench_of)]) -> Response:
        if bench.state.ticket is None:
            raise AskError("Nothing has been read yet.")
        return Response(
            ticket_text(bench.state.ticket),
            media_type="application/toml",
            headers={"content-disposition": 'attachment; filename="readings.toml"'},
        )

    @router.get("/weighing", summary="The readings reconciled with the rig")
    def weighing(bench: Annotated[Bench, Depends(bench_of)]) -> dict[str, Any]:
        if bench.work.reconciled is None:
            raise AskError("Nothing has been read yet.")
        return weighing_report(bench.work.reconciled, unobservable(bench.work.reconciled))

    @router.get("/assessment", summary="Loads, ledger and limits at every stage")
    def assessment(bench: Annotated[Bench, Depends(bench_of)]) -> dict[str, Any]:
        return report(bench.work.found)

    return router


def _endpoint(act: Act, bench_of: BenchOf) -> Callable[..., Said]:
    def endpoint(ask: Any, bench: Any) -> Said:
        return Said(said=act.on(bench, ask), revision=bench.revision)

    endpoint.__annotations__ = {
        "ask": act.ask,
        "bench": Annotated[Bench, Depends(bench_of)],
        "return": Said,
    }
    endpoint.__name__ = act.name
    return endpoint
