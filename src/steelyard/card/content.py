"""Everything a card says, worked out once, so that paper and page say the same."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Final

from steelyard.assessment import Assessment, StageResult, assess
from steelyard.card.advice import assumed, braking, hitch, section, speeds
from steelyard.card.codes import MOST, Packed, packed
from steelyard.card.codes_drawn import drawn
from steelyard.card.cut import clipped, cut
from steelyard.card.picture import picture
from steelyard.card.result import Code, Content, Figure, Paper, Section
from steelyard.card.tables import axle_title, half_width, limits, trip, tyres
from steelyard.card.tyres import Pressure, pressures, to_run, together
from steelyard.card.walk import swaying, walk
from steelyard.card.weighed import weighed
from steelyard.drawing.columns import Column
from steelyard.estimate import Estimate
from steelyard.fault import dotted, listed
from steelyard.files.report import CAUTIONS
from steelyard.quantity import System, percent, unit_of
from steelyard.rig import Rig
from steelyard.words import MARKS, coupling, number, room, system_of, unsure
from steelyard.words.trade import speaking, trade_of

ASSUMED: Final = 6
WEIGHED: Final = 8


def card(
    rig: Rig,
    estimate: Estimate | None = None,
    *,
    found: Assessment | None = None,
    stages: tuple[str, ...] | None = None,
    units: str | None = None,
    paper: Paper | None = None,
    weighing: Sequence[str] = (),
    today: date | None = None,
) -> Content:
    """The card of a rig as its file says it (the codes hold it).

    estimate: a belief sharper than the file's own; found: an assessment of this rig with this
    estimate, so that it is not worked out again; stages: keys to look at, all by default; units:
    `us` or `metric`, by region when None, as is paper; weighing: what to say of the weighing behind
    the estimate; today: the date printed. Raises ValueError as `assess` does.
    """
    if found is None:
        found = assess(rig, estimate, stages)
    day = today or datetime.now().astimezone().date()
    paper = paper or ("letter" if found.region == "north-america" else "a4")
    with speaking(trade_of(rig)) as trade:
        content = _content(rig, found, stages, system_of(found, units), weighing, day, paper)
        return trade.all_of(content)


def _content(
    rig: Rig,
    found: Assessment,
    stages: tuple[str, ...] | None,
    system: System,
    weighing: Sequence[str],
    today: date,
    paper: Paper,
) -> Content:
    stage = found.worst_stage
    drawing, hung = picture(found, stage, system)
    asked = pressures(found, system)
    bundle = packed(rig)
    codes = drawn(bundle)
    return Content(
        name=clipped(rig.name, 48),
        parts=clipped(_parts(rig), 64),
        verdict=found.verdict,
        mark=MARKS[found.verdict],
        sentence=sentence(found, stage, system),
        stage=clipped(stage.title, 44),
        unit=unit_of("mass", system),
        picture=drawing,
        loads=tuple(_load(one, len(stage.axles) - 2, system) for one in hung),
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
    """What the ball carries, its share, and what decides."""
    ball = stage.tongue.weight
    spread = (
        f"{number(ball.value, system)} ± {half_width(ball.sd, system)} {unit_of('mass', system)}"
    )
    said = (
        f"The {coupling(found.rig)} carries {spread}, {percent(stage.tongue.share.value)} of the"
        " trailer."
    )
    least = stage.deciding
    if least is not None:
        lead = "Least room of what is known:" if found.verdict == "unknown" else "What decides is"
        said += f" {lead} {clipped(least.title, 40)}, {room(least, system)}."
        said += f" {unsure(least, found, system)}" if least.verdict == "cannot tell" else ""
    unknown = sum(limit.verdict == "unknown" for limit in stage.limits)
    if unknown:
        said += f" Not known: {unknown} rating{'s' if unknown > 1 else ''}."
    if found.questions:
        said += f" Asked about: {listed(dotted(one.path) for one in found.questions)}."
    if "people" in found.missing:
        said += " Nobody is listed aboard."
    return said


def _load(one: Column, trailer_axles: int, system: System) -> Figure:
    return Figure(
        title=axle_title(one.title if one.key == "ball" else one.key, trailer_axles),
        number=number(one.load.value, system),
        spread=f"± {half_width(one.load.sd, system)}",
        note=MARKS[one.verdict],
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
    lines = (*weighing, *known) or ("Nothing in the file says it was weighed or measured.",)
    return (
        speeds(found, system),
        hitch(rig, found, stages, system),
        braking(found, found.worst_stage, system),
        section("Weighed or measured", (", ".join(lines) + (" " + more if more else ""),)),
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
        f"{many} the rig file itself, without comments. Read: steelyard card --read PHOTO, or"
        " paste the text that any reader of codes gives into a file for --read-text."
        f" Module {least:z.2f} mm. Fingerprint {bundle.fingerprint[:16]}."
    )


def _made(found: Assessment, today: date) -> str:
    from steelyard import __version__

    region = found.region.replace("-", " ")
    return f"{today.isoformat()} · steelyard {__version__} · rules: {region} · ± is a 95 % interval"
