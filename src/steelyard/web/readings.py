"""Readings typed on the page: which there are, how they stand in a ticket, and what they say."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final

from steelyard.files.changes import AskError, Data, asking
from steelyard.files.faults import FileFaultError
from steelyard.files.merge import merged
from steelyard.files.reader import validated
from steelyard.quantity import Dimension, QuantityError, parse
from steelyard.rig import Owned, Rig, is_pin
from steelyard.typical.trailer import axle_count
from steelyard.web.state import State, rig_of
from steelyard.weighing.reconcile import Reconciled, reconcile
from steelyard.weighing.ticket import Ticket, TicketError

ARRANGEMENTS: Final[Mapping[str, tuple[str, dict[str, str]]]] = {
    "bars-on": ("bars on", {"bars": "on"}),
    "bars-off": ("bars off", {"bars": "off"}),
    "coupled": ("coupled", {}),
    "vehicle-alone": ("vehicle alone", {"arrangement": "vehicle-alone"}),
    "trailer-alone": ("trailer alone", {"arrangement": "trailer-alone"}),
}
"""How the rig stands on the scale: the words, and what a ticket's pass says of it."""
WHICH: Final = ("axles", "axle", "side", "cell", "at", "tank")
"""What tells readings of one kind apart."""
PLAIN: Final = ("arrangement", "bars", "stage", "readings", "support_station", "coupler_height")
"""What a pass typed here says; one that says more of its load is another pass."""
UNITS: Final[Mapping[Dimension, tuple[str, ...]]] = {
    "mass": ("lb", "kg", "t"),
    "length": ("in", "mm", "cm", "m", "ft"),
    "share": ("%",),
}
_THOUSANDS: Final = re.compile(r"\d{1,3}([, ']\d{3})+(\.\d+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class More:
    """Something else that a reading needs or may have: its key, the words, what stands there, and
    what does in `metric` where it is another."""

    key: str
    words: str
    default: str
    metric: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A reading that can be typed: `what` names it; `reading` is what a ticket says but the number,
    which stands at `field`; `first` is offered without being asked for."""

    what: str
    title: str
    reading: Mapping[str, Any]
    field: str = "weight"
    dimension: Dimension = "mass"
    first: bool = False
    more: tuple[More, ...] = ()


STOOD: Final = (
    More(key="coupler_height", words="coupler above the ground", default="level"),
    More(key="support_station", words="jack behind the ball", default=""),
)
"""How a trailer weighed alone may have stood, and what is taken where it is unsaid (the jack's is
`JACK`)."""


def arrangements(rig: Rig) -> tuple[str, ...]:
    """Those that this rig can stand in, the one told most by first."""
    coupled = ("bars-on", "bars-off") if rig.hitch.bars is not None else ("coupled",)
    return (*coupled, "vehicle-alone", "trailer-alone")


def forms(rig: Rig, arrangement: str) -> tuple[Form, ...]:
    """Every reading of one arrangement, those most people take first on top."""
    found = [*_pads(rig, arrangement), *_hitch(rig, arrangement), *_wheels(rig, arrangement)]
    found += [*_tape(arrangement), *_gauges(rig, arrangement)]
    return tuple(sorted(found, key=lambda one: not one.first))


def _ends(rig: Rig, arrangement: str) -> tuple[list[str], list[str]]:
    """Axles of the vehicle and of the trailer that stand on the ground."""
    on_trailer = [f"trailer-{i + 1}" for i in range(axle_count(rig))]
    return (
        [] if arrangement == "trailer-alone" else ["front", "rear"],
        [] if arrangement == "vehicle-alone" else on_trailer,
    )


def _axle(name: str) -> str:
    return f"{name} axle" if not name[-1].isdigit() else f"trailer axle {name[-1]}"


def _pads(rig: Rig, arrangement: str) -> Iterator[Form]:
    ends, trailer = _ends(rig, arrangement)
    for name in ends:
        yield _pad((name,), _axle(name), first=True)
    if trailer:
        title = "trailer axles together" if len(trailer) > 1 else "trailer axle"
        yield _pad(("trailer",), title, first=True)
    if len(ends) > 1:
        yield _pad(("all",), "whole rig" if trailer else "whole vehicle")
        if trailer:
            yield _pad(("front", "rear"), "front and rear axle together")
    if trailer and not ends:
        yield _pad(("all",), "whole trailer, with what its tongue stands on")
    for name in trailer if len(trailer) > 1 else ():
        yield _pad((name,), _axle(name))


def _pad(axles: tuple[str, ...], title: str, *, first: bool = False) -> Form:
    reading = {"kind": "platform", "axles": list(axles)}
    return Form(what=f"platform:{'+'.join(axles)}", title=title, reading=reading, first=first)


def _hitch(rig: Rig, arrangement: str) -> Iterator[Form]:
    if arrangement == "vehicle-alone":
        return
    if arrangement != "trailer-alone":
        for cell in ("ball",) if is_pin(rig) else ("shank", "ball", "receiver"):
            where = "at the ball" if cell == "ball" else f"in the {cell}"
            title = "hitch that weighs" + ("" if is_pin(rig) else f", cell {where}")
            reading = {"kind": "hitch-scale", "cell": cell}
            first = (is_pin(rig) or cell == "shank") and arrangement != "bars-on"
            yield Form(what=f"hitch-scale:{cell}", title=title, reading=reading, first=first)
    elif not is_pin(rig):
        yield from _under_tongue()


def _under_tongue() -> Iterator[Form]:
    where = More(key="station", words="it stands behind the ball by", default="0")
    yield Form(
        what="tongue-scale:",
        title="scale under the coupler or jack",
        reading={"kind": "tongue-scale"},
        first=True,
        more=(where,),
    )
    yield Form(
        what="lever:",
        title="scale under a plank on two supports",
        reading={"kind": "lever"},
        more=(
            _plank("support_to_tongue", "plank: fixed support to tongue", "1 ft", "0.3 m"),
            _plank("tongue_to_scale", "plank: tongue to scale", "3 ft", "0.9 m"),
            More(key="plank", words="the scale showed before", default=""),
            where,
        ),
    )


def _plank(key: str, words: str, default: str, metric: str) -> More:
    return More(key=key, words=words, default=default, metric=metric)


def _wheels(rig: Rig, arrangement: str) -> Iterator[Form]:
    ends, trailer = _ends(rig, arrangement)
    for axle in (*ends, *trailer):
        for side in ("left", "right"):
            reading = {"kind": "wheel", "axle": axle, "side": side}
            title = f"{_axle(axle)}, {side} wheel"
            yield Form(what=f"wheel:{axle}:{side}", title=title, reading=reading)


def _tape(arrangement: str) -> Iterator[Form]:
    if arrangement == "trailer-alone":
        return
    words = ("bounced", "loading", "unloading")
    rest = More(key="settled", words="came to rest", default="bounced", choices=words)
    for end in ("front", "rear"):
        yield Form(
            what=f"fender-height:{end}",
            title=f"{end} fender height",
            reading={"kind": "fender-height", "at": end},
            field="height",
            dimension="length",
            more=(rest,),
        )
    reading = {"kind": "ball-height"}
    yield Form(
        what="ball-height:",
        title="ball height",
        reading=reading,
        field="height",
        dimension="length",
    )


def _gauges(rig: Rig, arrangement: str) -> Iterator[Form]:
    for tank in rig.trailer.tanks if arrangement != "vehicle-alone" else ():
        yield Form(
            what=f"tank-gauge:{tank}",
            title=f"{tank} tank gauge",
            reading={"kind": "tank-gauge", "tank": tank},
            field="level",
            dimension="share",
            more=(More(key="steps", words="steps of the gauge", default="3"),),
        )


def what_of(reading: Data) -> str:
    """The name of the form that a ticket's reading would be typed in."""
    kind = str(reading.get("kind"))
    if kind == "platform":
        return f"platform:{'+'.join(reading.get('axles', ()))}"
    parts = [str(reading[key]) for key in WHICH[1:] if key in reading]
    return f"{kind}:{':'.join(parts)}"


def arrangement_of(one: Data) -> str:
    """Which of the arrangements a ticket's pass is in."""
    said = one.get("arrangement", "coupled")
    if said != "coupled":
        return str(said)
    return f"bars-{one['bars']}" if "bars" in one else "coupled"


def pass_in(ticket: Data, arrangement: str, stage: str | None) -> str | None:
    """The name of the pass that was typed here of an arrangement at a stage, if there is one."""
    for name, one in ticket["passes"].items():
        alike = arrangement_of(one) == arrangement and one.get("stage") == stage
        if alike and not set(one) - set(PLAIN):
            return str(name)
    return None


def last_of(one: Data, what: str) -> int | None:
    """The number of the last reading of that name in a pass."""
    found = [at for at, row in enumerate(one["readings"]) if what_of(row) == what]
    return found[-1] if found else None


def number(text: str, unit: str | None, form: Form) -> str:
    """A number as typed, with its unit; AskError where it is none of that kind."""
    plain = text.strip()
    if re.fullmatch(_THOUSANDS, plain):
        plain = re.sub(r"[, ']", "", plain)
    elif re.fullmatch(r"\d+,\d+", plain):
        plain = plain.replace(",", ".")
    bare = re.fullmatch(r"[-+]?[\d.]+", plain) is not None
    if bare:
        units = UNITS[form.dimension]
        if unit is not None and unit not in units:
            due = " or ".join(units)
            raise AskError(f"{form.title}: expected a unit among {due}, found {unit[:20]!r}")
        plain = f"{plain} {unit or units[0]}"
    elif form.dimension == "share" and re.fullmatch(r"\d+/\d+", plain):
        plain = f"{plain} of 1"
    with asking(QuantityError, of=form.title):
        parse(plain, form.dimension)
    return plain


def checked(ticket: Data) -> Ticket:
    """The ticket in plain values; AskError in one sentence."""
    with asking(FileFaultError):
        return validated(Ticket, ticket, "", "readings")


def reconciled(state: State, name: str, owned: Owned) -> Reconciled | None:
    """The readings of a state against its rig as weighed; None where there are none.

    What was moved since changes neither, so the same answer serves, draws and all.
    """
    if state.ticket is None:
        return None
    data = state.weighed or state.data
    text = repr((data, state.ticket, owned))
    return _reconciled(_Asked(text, name, data, state.ticket, owned))


@dataclass(frozen=True, slots=True)
class _Asked:
    """Readings and the rig as weighed, told apart by their text."""

    text: str
    name: str
    data: Data = field(compare=False)
    ticket: Data = field(compare=False)
    owned: Owned = field(compare=False)


@lru_cache(maxsize=4)
def _reconciled(asked: _Asked) -> Reconciled:
    rig = rig_of(asked.data, asked.name).owning(asked.owned)
    with asking(TicketError):
        return reconcile(rig, checked(asked.ticket))


def ticket_text(ticket: Data) -> str:
    """The readings as the text of a ticket file."""
    heads = ("ticket", "rig", "vehicle", "date", "place", "note", "sure", "scales", "passes")
    return merged("", {key: ticket[key] for key in heads if key in ticket}, "ticket")
