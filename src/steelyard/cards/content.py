"""Everything a card says, worked out once, so that paper and page say the same."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any, Final

from pydantic import BaseModel

from steelyard import __version__
from steelyard.assessment import Assessment, StageResult, assess
from steelyard.cards.advice import assumed, braking, hitch, section, speeds
from steelyard.cards.card_tables import axle_title, half_width, limits, trip, tyres
from steelyard.cards.codes import MOST, Packed, drawn, packed
from steelyard.cards.cut import clipped, cut
from steelyard.cards.picture import picture
from steelyard.cards.result import Code, Content, Figure, Paper, Section
from steelyard.cards.tyres import Pressure, pressures, to_run, together
from steelyard.cards.walk import swaying, walk
from steelyard.drawing.columns import Column
from steelyard.drawing.marks import mark, notch
from steelyard.drawing.paper import INK, PAPER, SPREAD, printable
from steelyard.estimate import Estimate
from steelyard.fault import dotted, listed
from steelyard.files.report import CAUTIONS
from steelyard.quantity import System, Value, percent, unit_of
from steelyard.ratings import Verdict
from steelyard.rig import Rig
from steelyard.stowing.mend import Mend, mend
from steelyard.words.assessed import coupling, number, system_of
from steelyard.words.headline import Headline, headline
from steelyard.words.trade import speaking, trade_of
from steelyard.words.unstated import plainly

ASSUMED: Final = 6
WEIGHED: Final = 8
NAME: Final = 40
"""Letters of a name to be signed beside."""
RUN: Final = 90
"""Letters of one run of the reason."""
DO: Final = 140
"""Letters of the thing to do."""
AGAIN: Final = "Weigh again when what rides along changes."
"""What is to be done where all is within."""


def card(
    rig: Rig,
    estimate: Estimate | None = None,
    *,
    found: Assessment | None = None,
    stages: tuple[str, ...] | None = None,
    units: str | None = None,
    paper: Paper | None = None,
    weighing: Sequence[str] = (),
    doubts: Sequence[str] = (),
    doubt: str = "",
    mends: Callable[[], Mend | None] | None = None,
    owner: str = "",
    adviser: str = "",
    today: date | None = None,
) -> Content:
    """The card of a rig as its file says it (the codes hold it).

    estimate: a belief sharper than the file's own; found: an assessment of this rig with this
    estimate, so that it is not worked out again; stages: keys to look at, all by default; units:
    `us` or `metric`, by region when None, as is paper; weighing: what to say of the weighing behind
    the estimate; doubts: what of it must be seen first, and doubt: why its readings are no ground
    for a verdict; mends: seeks the moves that mend what is wrong, where the caller has them at
    hand; owner, adviser: who signs; today: the date printed. Raises ValueError as `assess` does.
    """
    if found is None:
        found = assess(rig, estimate, stages)
    day = today or datetime.now().astimezone().date()
    paper = paper or ("letter" if found.region == "north-america" else "a4")
    facts = found.rig
    seek = mends or (lambda: mend(facts, estimate))
    with speaking(trade_of(rig)) as trade:
        system = system_of(found, units)
        first = headline(found, system, doubt=doubt, mends=seek)
        content = _content(rig, found, stages, system, first, weighing, day, paper)
        said = trade.all_of(content)
    names = (clipped(owner, NAME), clipped(adviser, NAME))
    return replace(said, doubts=tuple(doubts), owner=names[0], adviser=names[1])


def _content(
    rig: Rig,
    found: Assessment,
    stages: tuple[str, ...] | None,
    system: System,
    first: Headline,
    weighing: Sequence[str],
    today: date,
    paper: Paper,
) -> Content:
    stage = found.worst_stage
    drawing, hung = picture(found, stage, system)
    one = next((one for one in stage.limits if one.name == first.decides), None)
    asked = pressures(found, system)
    bundle = packed(rig)
    codes = drawn(bundle)
    return Content(
        name=clipped(rig.name, 48),
        parts=clipped(_parts(rig), 64),
        verdict=first.verdict,
        word=first.word,
        shape=on_paper(mark(first.verdict), first.verdict),
        notch=on_paper(notch(one, system), first.verdict) if one else "",
        reason=tuple((clipped_run(text), strong) for text, strong in first.reason),
        do=clipped(AGAIN if first.step.kind == "card" else first.step.words, DO),
        doubts=(),
        owner="",
        adviser="",
        day=f"{today.day} {today:%B %Y}",
        sentence=sentence(found, stage, system),
        stage=clipped(stage.title, 44),
        unit=unit_of("mass", system),
        picture=drawing,
        loads=tuple(_load(one, len(stage.axles) - 2, system) for one in hung),
        pressures_title="Tyres, cold, for these loads",
        pressures=tuple(_pressures(asked, system)),
        reminder="Labels and local law first. An estimate is not a weighing.",
        limits=limits(stage, system),
        trip=trip(found, system),
        tyres=tyres(asked, system),
        notes=_notes(rig, found, stages, system, weighing),
        walk=walk(rig),
        swaying=swaying(rig),
        cautions=_cautions(found),
        codes=codes,
        code_words=code_words(bundle, codes),
        made=_made(found, today),
        paper=paper,
    )


def _parts(rig: Rig) -> str:
    vehicle = rig.vehicle.title or rig.vehicle.klass.replace("-", " ")
    trailer = rig.trailer.title or f"{rig.trailer.style.replace('-', ' ')} trailer"
    return f"{vehicle} with {trailer}"


def sentence(found: Assessment, stage: StageResult, system: System) -> str:
    """What the ball carries, its share, and what is not known."""
    ball = stage.tongue.weight_kg
    spread = (
        f"{number(ball.value, system)} ± {half_width(ball.sd, system)} {unit_of('mass', system)}"
    )
    said = (
        f"The {coupling(found.rig)} carries {spread}, {percent(stage.tongue.share.value)} of the"
        " trailer."
    )
    if any(limit.verdict == "unknown" for limit in stage.limits):
        said += " Ratings are missing: see the back."
    if found.questions:
        names = (plainly(dotted(one.path)) for one in found.questions)
        said += f" Asked about: {listed(names)}."
    if "people" in found.missing:
        said += " Nobody is listed aboard."
    return said


def clipped_run(text: str) -> str:
    """Words of the reason, none of them longer than a card has room for; outer spaces kept."""
    lead, tail = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
    return f"{lead}{clipped(text, RUN)}{tail}"


def on_paper(drawing: str, verdict: Verdict) -> str:
    """A drawing in the colours of print; white on the ink block of what is exceeded."""
    if verdict != "exceeded":
        return printable(drawing)
    swapped = drawing.replace(INK, PAPER).replace(SPREAD, "#71818f")
    return printable(swapped)


def _load(one: Column, trailer_axles: int, system: System) -> Figure:
    return Figure(
        title=axle_title(one.title if one.key == "ball" else one.key, trailer_axles),
        number=number(one.load.value, system),
        spread=f"± {half_width(one.load.sd, system)}",
        note=one.mark,
    )


def _pressures(asked: tuple[Pressure, ...], system: System) -> list[Figure]:
    """Front, rear and trailer tyres, the trailer's axles together."""
    unit = unit_of("pressure", system)
    rows = [
        ("front tyres", to_run(asked[0], system)),
        ("rear tyres", to_run(asked[1], system)),
        ("trailer tyres", together(asked[2:], system)),
    ]
    return [
        Figure(title=title, number=pumped, spread=unit, note=note) for title, (pumped, note) in rows
    ]


def _notes(
    rig: Rig,
    found: Assessment,
    stages: tuple[str, ...] | None,
    system: System,
    weighing: Sequence[str],
) -> tuple[Section, ...]:
    known, more = cut(weighed(rig), WEIGHED)
    said = ", ".join(known) + (" " + more if more else "")
    lines = (*weighing, *filter(None, (said,)))
    lines = lines or ("Nothing in the file says it was weighed or measured.",)
    return (
        speeds(found, system),
        hitch(rig, found, stages, system),
        braking(found, found.worst_stage, system),
        section("Weighed or measured", lines),
        assumed(found, system, ASSUMED),
    )


def _cautions(found: Assessment) -> tuple[str, ...]:
    missing = f"Not listed in the file: {', '.join(found.missing)}." if found.missing else ""
    return (*CAUTIONS, *([missing] if missing else []))


def code_words(bundle: Packed, codes: tuple[Code, ...]) -> str:
    """What the codes hold, how large they are printed, and how they are read."""
    if not codes:
        return (
            f"This rig file would take {bundle.needed} codes, more than the {MOST} that fit here,"
            " so no code holds it. Its fingerprint (SHA-256 of its canonical text):"
            f" {bundle.fingerprint}"
        )
    many = "This code holds" if len(codes) == 1 else f"These {len(codes)} codes together hold"
    least = min(code.module for code in codes)
    return (
        f"{many} the rig file itself, without comments: a photo of it opens the rig on the page"
        f" again. Module {least:z.2f} mm. Fingerprint {bundle.fingerprint[:16]}."
    )


def file_name(rig: str, ending: str) -> str:
    """What a card's file is called: letters and digits of any script, the rest a dash."""
    name = re.sub(r"\W+", "-", rig.lower()).strip("-_")[:60] or "rig"
    return f"{name}-card.{ending}"


def _made(found: Assessment, today: date) -> str:
    region = found.region.replace("-", " ")
    return f"{today.isoformat()} · steelyard {__version__} · rules: {region} · ± is a 95 % interval"


def weighed(rig: Rig) -> list[str]:
    """All values weighed or measured, in words, in the order of the file."""
    return list(_paths(rig, ""))


def _paths(fact: Any, path: str) -> Iterator[str]:
    if isinstance(fact, Value):
        if fact.kind == "scale" or fact.basis in ("weighed", "measured"):
            how = "measured" if fact.basis == "measured" else "weighed"
            yield f"{plainly(path)} {fact.text} ({how})"
        return
    if isinstance(fact, BaseModel):
        fields = type(fact).model_fields
        children = [(field.alias or name, getattr(fact, name)) for name, field in fields.items()]
    elif isinstance(fact, Mapping):
        children = list(fact.items())
    else:
        return
    for name, child in children:
        yield from _paths(child, f"{path}.{name}".lstrip("."))
