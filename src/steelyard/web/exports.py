"""What programs may ask the page, by GET."""

from collections.abc import Callable
from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Depends, Query, Response
from fastapi.responses import HTMLResponse
from pydantic import BaseModel, Field

from steelyard.assessment.sway_advice import sway_advice
from steelyard.cards import as_html, as_pdf, card, file_name
from steelyard.files.changes import AskError, asking
from steelyard.files.reader import validated
from steelyard.files.report import report, weighing_report
from steelyard.files.sway_report import sway_report
from steelyard.rig import Rig
from steelyard.swaying.narrow import narrowings
from steelyard.swaying.stage_sway import sway
from steelyard.web.acts.document import as_text
from steelyard.web.readings import ticket_text
from steelyard.web.session import Session
from steelyard.web.work import Work
from steelyard.weighing.observe import unobservable
from steelyard.words.trade import units_of
from steelyard.words.weighed import agreement, file_line

SessionOf = Callable[..., Session]
Name = Annotated[str, Field(max_length=80)]


class CardAsk(BaseModel):
    """How the card is to be: units and paper, by region if left out; who is to sign it."""

    units: Literal["us", "metric"] | None = None
    paper: Literal["a4", "letter"] | None = None
    owner: Name = ""
    adviser: Name = ""


def add_answers(router: APIRouter, session_of: SessionOf) -> None:
    """Every answer, on the session of the asker."""
    Asker = Annotated[Session, Depends(session_of)]

    @router.get("/rig", summary="The rig file as plain values")
    def rig(session: Asker) -> dict[str, Any]:
        return dict(session.state.data)

    @router.get("/rig.toml", summary="The rig file as text", response_class=Response)
    def text(session: Asker) -> Response:
        name = "".join(c if c.isalnum() or c in "-." else "-" for c in session.name)
        return Response(
            as_text(session),
            media_type="application/toml",
            headers={"content-disposition": f'attachment; filename="{name}"'},
        )

    @router.get("/ticket.toml", summary="The readings as a ticket file", response_class=Response)
    def ticket(session: Asker) -> Response:
        if session.state.ticket is None:
            raise AskError("Nothing has been read yet.")
        return Response(
            ticket_text(session.state.ticket),
            media_type="application/toml",
            headers={"content-disposition": 'attachment; filename="readings.toml"'},
        )

    @router.get("/weighing", summary="The readings reconciled with the rig")
    def weighing(session: Asker) -> dict[str, Any]:
        if session.work.reconciled is None:
            raise AskError("Nothing has been read yet.")
        return weighing_report(session.work.reconciled, unobservable(session.work.reconciled))

    @router.get("/assessment", summary="Loads, ledger and limits at every stage")
    def assessment(session: Asker) -> dict[str, Any]:
        return report(session.work.found)


def add_slow_answers(router: APIRouter, session_of: SessionOf) -> None:
    """Answers that take longer, on the session of the asker."""
    Asker = Annotated[Session, Depends(session_of)]
    Asked = Annotated[CardAsk, Query()]

    @router.get("/sway", summary="Damping against speed at every stage, and what moves it")
    def swaying(session: Asker) -> dict[str, Any]:
        return _swaying(session.work)

    @router.get("/card.pdf", summary="The card as PDF", response_class=Response)
    def card_pdf(session: Asker, ask: Asked) -> Response:
        named = quote(file_name(session.work.rig.name, "pdf"))
        return Response(
            as_pdf(_card(session, ask)),
            media_type="application/pdf",
            headers={"content-disposition": f"attachment; filename*=UTF-8''{named}"},
        )

    @router.get("/card.html", summary="The card as a page to print", response_class=Response)
    def card_html(session: Asker, ask: Asked) -> HTMLResponse:
        return HTMLResponse(as_html(_card(session, ask)))


def _card(session: Session, ask: CardAsk) -> Any:
    work = session.work
    own = validated(Rig, work.state.data, "", session.name)
    return card(own, work.estimate, found=work.found, weighing=_weighing(work), **_said(work, ask))


def _said(work: Work, ask: CardAsk) -> dict[str, Any]:
    """What was asked of the card, and what of the readings must be seen first."""
    found = work.reconciled
    file = file_line(found, units_of(work.rig, None)) if found is not None else None
    doubts = (file,) if file else ()
    return {**ask.model_dump(), "doubts": doubts, "doubt": work.doubt, "mends": lambda: work.mended}


def _weighing(work: Work) -> tuple[str, ...]:
    """What the card says of the readings."""
    found = work.reconciled
    if found is None:
        return ()
    ticket = found.weighed.ticket
    count = len(found.readings)
    when = f", {ticket.date}" if ticket.date else ""
    words = f"sharper by {count} reading{'s' * (count > 1)} on scales{when}"
    return (words, agreement(found, units_of(work.rig, None)))


def _swaying(work: Work) -> dict[str, Any]:
    with asking(ValueError):
        found = sway(work.rig, work.estimate)
        worst = max(found, key=lambda one: one.chance_below)
        advice = sway_advice(work.rig, work.estimate, worst.key, speed=worst.chosen_speed)
        narrow = narrowings(work.rig, work.estimate, worst.key, worst.chosen_speed)
    return sway_report(work.rig, found, advice, narrow, None)
