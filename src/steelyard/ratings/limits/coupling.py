"""Limits of the coupling chain: every part between vehicle and trailer by its own ratings."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from steelyard.quantity import GRAVITY, F, Floats, Value
from steelyard.ratings import coupling
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.limits.vehicle import newtons
from steelyard.rig import HitchPart, Rig, is_pin
from steelyard.scene import Scene, summed
from steelyard.statics.linkage import group_station

ALL_PARTS = ("receiver", "ball_mount", "ball", "coupler")
TONGUE_DUE = frozenset({"receiver", "ball_mount"})
"""Parts that always carry a tongue rating; balls and couplers may state the trailer's alone."""
_BOTH_ENDS = ("ball", "coupler")
UNMEASURED = 0.45
"""m behind the ball: where a jack stands that nobody measured (assumed)."""


def chain(scene: Scene[Floats]) -> Iterator[Check]:
    """Each part against the whole trailer and the tongue weight with bars off."""
    for name, part in _parts(scene):
        yield from _part(scene, name, part)


def least_tongue(rig: Rig) -> float:
    """kg: the least of what is stated that a part may carry of the tongue; inf where nothing is."""
    rated = [
        rating.value
        for name, part in _stated(rig)
        if part is not None
        for rating in (
            part.distributing_tongue if _with_bars(rig, name) else part.rating_tongue,
            part.s_value,
        )
        if rating is not None
    ]
    return min(rated, default=np.inf)


def _with_bars(rig: Rig[Floats], name: str) -> bool:
    """Whether a part's distributing ratings count."""
    return rig.hitch.bars is not None and name not in _BOTH_ENDS


def _stated(rig: Rig[F]) -> Iterator[tuple[str, HitchPart[F] | None]]:
    """Every part by its name, from the vehicle on."""
    hitch = rig.hitch
    yield "receiver", hitch.receiver
    yield from ((f"reducers.{key}", sleeve) for key, sleeve in hitch.reducers.items())
    yield from (("ball_mount", hitch.ball_mount), ("ball", hitch.ball), ("coupler", hitch.coupler))


def _parts(scene: Scene[Floats]) -> Iterator[tuple[str, HitchPart[Floats]]]:
    """Parts that a coupling of this kind has in this region, stated or not, and any stated one."""
    due = set(_due_parts(scene))
    for name, part in _stated(scene.rig):
        if part is not None or name in due:
            yield name, part or HitchPart()


def _due_parts(scene: Scene[Floats]) -> tuple[str, ...]:
    """A pin has no receiver; outside North America a tow bar's plate speaks for all its parts."""
    if is_pin(scene.rig):
        return ("ball_mount", "coupler")
    return ALL_PARTS if scene.region == "north-america" else ("ball", "coupler")


def _part(scene: Scene[Floats], name: str, part: HitchPart[Floats]) -> Iterator[Check]:
    with_bars = _with_bars(scene.rig, name)
    pair = (
        (part.distributing_trailer, part.distributing_tongue)
        if with_bars
        else (part.rating_trailer, part.rating_tongue)
    )
    words, due = _called(scene, name), _plate(scene, name, with_bars=with_bars)
    way = ", distributing" if with_bars else ""
    rated = part.d_value is not None or part.s_value is not None
    if pair[0] is not None or not rated:
        yield at_most(
            "part's trailer",
            f"hitch.{name}.trailer",
            f"{words}{way}: trailer",
            scene.loads.trailer,
            newtons(pair[0]),
            due=due,
            at=f"hitch.{name}.{'distributing' if with_bars else 'rating'}_trailer",
            chain=True,
        )
    tongue = "distributing_tongue" if with_bars else "rating_tongue"
    for key, what, rating in _tongue_ratings(scene, name, pair[1], part):
        yield at_most(
            "part's tongue",
            f"hitch.{name}.{key}",
            f"{words}{way if key == 'tongue' else ''}: {what}",
            scene.loads.tongue,
            newtons(rating),
            due=due,
            at=f"hitch.{name}.{'s_value' if key == 's' else tongue}",
            chain=True,
            advice=rating is None and not _plate_carries(scene, name),
        )
    if part.d_value is not None or (rated and pair[0] is None):
        yield _d_value(scene, name, words, part.d_value, due)


def _tongue_ratings(
    scene: Scene[Floats], name: str, stated: Value[Floats] | None, part: HitchPart[Floats]
) -> Iterator[tuple[str, str, Value[Floats] | None]]:
    """What is stated of the tongue weight; where nothing is, what the part's plate would say."""
    if stated is not None:
        yield "tongue", "tongue", stated
    if part.s_value is not None:
        yield "s", "S", part.s_value
    if stated is None and part.s_value is None:
        ends = scene.region == "europe" and name in _BOTH_ENDS and not is_pin(scene.rig)
        by_s = part.d_value is not None or ends
        yield ("s", "S", None) if by_s else ("tongue", "tongue", None)


def _plate_carries(scene: Scene[Floats], name: str) -> bool:
    """Whether a part's plate usually carries what it bears of the tongue: in North America those of
    receiver and ball mount, elsewhere that of the tow bar, in Europe the coupling head's too."""
    by_region = {"north-america": (), "europe": _BOTH_ENDS}.get(scene.region, ("ball",))
    usual = () if is_pin(scene.rig) else by_region
    return name in TONGUE_DUE or name.startswith("reducers.") or name in usual


def _plate(scene: Scene[Floats], name: str, *, with_bars: bool) -> str:
    """Where to look for a part's ratings."""
    plate = "the plate (S and D)" if scene.region == "europe" else "the label"
    line = ", weight-distributing line" if with_bars else ""
    return f"{plate} on the {_called(scene, name)}{line}"


def _called(scene: Scene[Floats], name: str) -> str:
    """A part by the name people use for it on this kind of coupling."""
    pins = {"ball_mount": "hitch in the bed", "coupler": "king pin or gooseneck coupler"}
    if is_pin(scene.rig) and name in pins:
        return pins[name]
    if name == "ball" and scene.region != "north-america":
        return "tow ball"
    return name.replace("reducers.", "reducer ").replace("_", " ")


def _d_value(
    scene: Scene[Floats], name: str, words: str, stated: Value[Floats] | None, due: str
) -> Check:
    """D that the permitted masses need, against the plate; unknown unless both are known."""
    permitted = scene.rig.vehicle.gvwr, scene.rig.trailer.gvwr
    known = permitted[0] is not None and permitted[1] is not None
    vehicle, trailer = (m.value if m else np.nan for m in permitted)
    needed: Any = coupling.d_value(vehicle, trailer)
    if is_pin(scene.rig):
        needed = coupling.fifth_wheel_d_value(vehicle, trailer, scene.loads.tongue / GRAVITY)
    return at_most(
        "part's force",
        f"hitch.{name}.d",
        f"{words}: D-value",
        np.atleast_1d(needed),
        stated.value if known and stated is not None else None,
        due=due if known or stated is None else "the permitted masses of vehicle and trailer",
        at=f"hitch.{name}.d_value",
        measure="force",
        source="UN R55 par. 2.11; the plate's D stated in the rig file",
        chain=True,
    )


def bars(scene: Scene[Floats]) -> Iterator[Check]:
    """Spring bars: tongue weight and what the vehicle carries behind its rear axle."""
    fitted = scene.rig.hitch.bars
    if fitted is None:
        return
    behind = [
        row.kg * (row.station > scene.values["vehicle.wheelbase"])
        for row in scene.loads.balance.rows
        if row.body == "vehicle" and row.kind == "item"
    ]
    cargo = summed(behind) * GRAVITY
    yield at_most(
        "bars",
        "hitch.bars.rating",
        "spring bars",
        scene.loads.tongue + cargo,
        newtons(fitted.rating),
        due="the label on the bars",
        chain=True,
    )


def chains(scene: Scene[Floats]) -> Iterator[Check]:
    """Breaking force of each safety chain against what SAE J684 asks for the trailer's weight."""
    fitted = scene.rig.hitch.chains
    if scene.region != "north-america" or scene.rig.hitch.kind == "fifth-wheel":
        return
    permitted = scene.rig.trailer.gvwr
    weight = scene.loads.trailer / GRAVITY if permitted is None else np.asarray(permitted.value)
    asked = coupling.chain_strength(weight)
    together = min(fitted.count, 2) if fitted else 1
    asked = np.where(np.isnan(asked), weight * GRAVITY / together, asked)  # above class 4
    rating = newtons(fitted.rating_each) if fitted else None
    yield at_most(
        "chains",
        "hitch.chains",
        "a safety chain",
        np.atleast_1d(asked),
        rating,
        due="the tag on the safety chains",
        at="hitch.chains.rating_each",
        source="SAE J684 chain strength for the trailer's weight; above it 49 CFR 393.70(d), two"
        " chains together by FMCSA guidance, question 2; some states ask it of each",
        chain=True,
    )


def ball_size(scene: Scene[Floats]) -> Iterator[Check]:
    """Ball diameter against the least that SAE J684 allows for the trailer's weight."""
    ball = scene.rig.hitch.ball
    permitted = scene.rig.trailer.gvwr
    if ball is None or ball.size is None or permitted is None:
        return
    if scene.region != "north-america":
        return
    least = coupling.minimum_ball(permitted.value)
    if np.all(np.isnan(least)):
        return
    yield at_most(
        "part's size",
        "hitch.ball.size",
        "ball diameter due",
        np.atleast_1d(least),
        ball.size.value + 1e-6,
        due="the number stamped on the ball",
        measure="length",
        source="SAE J684 least ball diameter, as adopted in COMAR 11.13.08",
        chain=True,
    )


def jack(scene: Scene[Floats]) -> Iterator[Check]:
    """What the jack lifts with the trailer standing alone: W (s_a - s)/(s_a - s_j)."""
    fitted = scene.rig.hitch.jack
    if fitted is None or fitted.rating is None:
        return
    station = fitted.station.value if fitted.station else UNMEASURED
    axle = group_station(scene.rig, scene.values)
    yield at_most(
        "jack",
        "hitch.jack",
        "tongue jack",
        scene.loads.tongue * axle / (axle - station),
        newtons(fitted.rating),
        due="the label on the jack",
        at="hitch.jack.rating",
    )
