"""The rig on one ruler: side view with what its signs mean, loads below the ground, the lever."""

from collections.abc import Callable, Container, Sequence
from functools import cache, lru_cache
from typing import Final

from steelyard.assessment import Assessment, OnAxles, StageResult, on_axles
from steelyard.drawing import paper
from steelyard.drawing.beam import beam_picture
from steelyard.drawing.columns import columns, loads_picture, spoken
from steelyard.drawing.ruler import Ruler, ruler
from steelyard.drawing.side import side_view
from steelyard.drawing.sizes import PILE, Sizes, sizes
from steelyard.drawing.svg import Markup, join
from steelyard.quantity import System
from steelyard.words.assessed import share_spread, weight_spread


def rig_picture(
    found: Assessment,
    stage: str,
    system: System,
    *,
    wide: bool = True,
    carried: Sequence[OnAxles] | None = None,
    moved: Container[str] = (),
    lever: bool = True,
) -> str:
    """The rig at one stage as SVG, 1280 units wide or, for a phone, 390.

    carried: `on_axles` of this stage where the caller has it at hand, else worked out here; moved:
    items to be drawn thick; lever: whether the beam stands below. Raises
    ValueError for a stage that is not there. For code that drags: the root carries
    `data-scale` (units per metre), `data-front` and `data-ball` (x) and `data-ground` (y); an item
    and its column carry `data-item`, a place `data-place`.
    """
    result = stage_of(found, stage)
    size = sizes(found)
    rule = ruler(found, result, size, wide=wide)
    hung = columns(result, rule, size, on_axles(found, stage) if carried is None else carried)
    loads, deep = loads_picture(hung, rule, system)
    beam, tall = beam_picture(found, result, rule, size, system) if lever else (Markup(""), 0.0)
    gap = 14.0 if wide else 10.0
    below = rule.ground + deep + gap
    free = _free_corner(rule, size) if wide else None
    title = f"{found.rig.name}, {result.title}: side view, loads and lever"
    return paper.sheet(
        "rig-picture",
        title,
        f"{size.seat.capitalize()} {weight_spread(result.tongue.weight_kg, system)},"
        f" {share_spread(result.tongue.share)} of the trailer. {spoken(hung, system)}.",
        (rule.width, below + tall + (TALL if wide and free is None else 0.0)),
        side_view(found, result, rule, size, system, moved),
        paper.shifted(rule.ground, loads),
        paper.shifted(below, beam),
        corner(free) if free is not None else legend(below + tall + 12.0) if wide else "",
        active=True,
        data_scale=f"{rule.scale:.5f}",
        data_front=f"{rule.front:.5f}",
        data_ball=f"{rule.ball:.5f}",
        data_ground=f"{rule.ground:.5f}",
        data_stage=result.key,
    )


def _free_corner(rule: Ruler, size: Sizes) -> float | None:
    """Where in the sky a legend has room: over the vehicle, over the trailer, or nowhere."""
    if rule.y(max(size.vehicle_roof, size.bed_floor + PILE if size.pin else 0.0)) > HIGH:
        return 24.0
    if rule.y(size.ceiling) > HIGH and rule.y(size.roof) > HIGH:
        return rule.x("trailer", max(size.box_start, 0.0)) + 12.0
    return None


def stage_of(found: Assessment, key: str) -> StageResult:
    """The result of one stage; ValueError where there is none of that name."""
    for stage in found.stages:
        if stage.key == key:
            return stage
    known = ", ".join(stage.key for stage in found.stages)
    raise ValueError(f'expected a stage ({known}), found "{key}"')


TALL: Final = 24.0
"""Units that the row takes below the picture."""
HIGH: Final = 72.0
"""Units of free sky that the legend takes in a corner."""
_SAMPLE: Final = 26.0
_LEADING: Final = 19.0


def legend(y: float) -> Markup:
    """Load, spread, rating, what is assumed, where things can be put; the base line is at y."""
    return paper.shifted(y, _row())


@lru_cache(maxsize=64)
def corner(x: float) -> Markup:
    """The same in two short columns at the upper edge, from x on."""
    found, aside = [], x
    signs = list(_signs().items())
    for few in (signs[:3], signs[3:]):
        for n, (text, sample) in enumerate(few):
            y = 18.0 + _LEADING * n
            found.append(
                paper.shifted(
                    y,
                    sample(aside),
                    paper.words(aside + _SAMPLE, 0.0, text, paper.SMALL, fill=paper.FAINT),
                )
            )
        aside += _SAMPLE + max(paper.lettering(text, paper.SMALL) for text, _ in few) + 30.0
    return join(*found)


@cache
def _row() -> Markup:
    """The row on a base line at zero."""
    parts, x = [], 24.0
    for text, sample in _signs().items():
        parts += [sample(x), paper.words(x + _SAMPLE, 0.0, text, paper.SMALL, fill=paper.FAINT)]
        x += _SAMPLE + paper.lettering(text, paper.SMALL) + 30.0
    return join(*parts)


def _signs() -> dict[str, Callable[[float], Markup]]:
    """Each sign's words, and the sign from x on, on a base line at zero."""
    return {
        "a load": lambda x: paper.block(x + 9, -12, 8, 14, fill=paper.INK),
        "its spread, 95 %": lambda x: paper.block(
            x, -10, 22, 10, fill=paper.SPREAD, fill_opacity=0.55
        ),
        "its rating": lambda x: paper.stroke(x, -4.5, x + 22, -4.5, 3.0),
        "assumed": lambda x: paper.stroke(x, -4.5, x + 22, -4.5, 1.4, stroke_dasharray=paper.DASH),
        "a place for things": lambda x: paper.block(
            x, -11, 22, 12, fill=paper.PAPER, stroke=paper.FAINT, stroke_dasharray="1.5 3.5"
        ),
    }
