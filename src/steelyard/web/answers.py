"""What programs may ask the page, by GET."""

from collections.abc import Callable
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Depends, Response
from fastapi.responses import HTMLResponse

from steelyard.assessment.sway_advice import sway_advice
from steelyard.files.reader import validated
from steelyard.files.report import report, weighing_report
from steelyard.files.sway_report import sway_report
from steelyard.rig import Rig
from steelyard.sway import sway
from steelyard.web.acts.document import as_text
from steelyard.web.bench import Bench
from steelyard.web.readings import ticket_text
from steelyard.web.state import AskError
from steelyard.web.work import Work
from steelyard.weighing import unobservable

BenchOf = Callable[..., Bench]


def add_answers(router: APIRouter, bench_of: BenchOf) -> None:
    """Every answer, on the bench of the asker."""

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


def add_slow_answers(router: APIRouter, bench_of: BenchOf) -> None:
    """Answers that take longer, on the bench of the asker."""

    @router.get("/sway", summary="Damping against speed at every stage, and what moves it")
    def swaying(bench: Annotated[Bench, Depends(bench_of)]) -> dict[str, Any]:
        return _swaying(bench.work)

    @router.get("/card.pdf", summary="The card as PDF", response_class=Response)
    def card_pdf(
        bench: Annotated[Bench, Depends(bench_of)],
        units: Literal["us", "metric"] | None = None,
        paper: Literal["a4", "letter"] | None = None,
    ) -> Response:
        from steelyard.card import as_pdf

        return Response(
            as_pdf(_card(bench, units, paper)),
            media_type="application/pdf",
            headers={"content-disposition": 'attachment; filename="card.pdf"'},
        )

    @router.get("/card.html", summary="The card as a page to print", response_class=Response)
    def card_html(
        bench: Annotated[Bench, Depends(bench_of)],
        units: Literal["us", "metric"] | None = None,
        paper: Literal["a4", "letter"] | None = None,
    ) -> HTMLResponse:
        from steelyard.card import as_html

        return HTMLResponse(as_html(_card(bench, units, paper)))


def _card(bench: Bench, units: str | None, paper: Literal["a4", "letter"] | None) -> Any:
    from steelyard.card import card

    work = bench.work
    own = validated(Rig, work.state.data, "", bench.name)
    return card(
        own, work.estimate, found=work.found, units=units, paper=paper, weighing=_weighing(work)
    )


def _weighing(work: Work) -> tuple[str, ...]:
    """What the card says of the readings."""
    found = work.reconciled
    if found is None:
        return ()
    ticket = found.weighed.ticket
    count = len(found.readings)
    when = f", {ticket.date}" if ticket.date else ""
    words = f"sharper by {count} reading{'s' * (count > 1)} on scales{when}"
    doubt = () if found.agrees else ("The readings do not agree: look at them before the road.",)
    return (words, *doubt)


def _swaying(work: Work) -> dict[str, Any]:
    try:
        found = sway(work.rig, work.estimate)
        worst = max(found, key=lambda one: one.chance_below)
        advice = sway_advice(work.rig, work.estimate, worst.key, speed=worst.chosen_speed)
    except ValueError as error:
        raise AskError(str(error)) from None
    return sway_report(work.rig, found, advice, None)
