"""The hitch's parameters: weights and places of its parts, spring bars."""

from steelyard.quantity import GRAVITY, Value
from steelyard.quantity.columns import F, Floats
from steelyard.rig import HitchPart, Rig, SpringBars, is_pin
from steelyard.typical.mount import over_receiver
from steelyard.typical.sheet import Builder
from steelyard.typical.shipped_tables import Typical, hitch_table, typical, vehicle_class


def add_hitch(build: Builder[F], rig: Rig[F]) -> None:
    """Ball height, the weight and station of every part, and the bars' own numbers."""
    table = vehicle_class(rig.vehicle.klass)
    ball = _pin_height(rig) if is_pin(rig) else typical(table, "ball_height", "length")
    built = None if is_pin(rig) else over_receiver(rig)
    if rig.hitch.ball_height is None and built is not None:
        build.put("hitch.ball_height", built.value, built.sd, "stated", built.source)
    else:
        build.take("hitch.ball_height", rig.hitch.ball_height, ball, "tape")
    for name, part in parts(rig).items():
        _part(build, rig, name, part)
    if rig.hitch.bars is not None:
        _bars(build, rig, rig.hitch.bars)


def parts(rig: Rig[F]) -> dict[str, HitchPart[F]]:
    """Every part the vehicle carries, by path; a mount is always there, stated or not."""
    receiver = rig.hitch.receiver
    found = {"receiver": receiver} if receiver is not None and receiver.weight is not None else {}
    found.update({f"reducers.{name}": part for name, part in rig.hitch.reducers.items()})
    found["ball_mount"] = rig.hitch.ball_mount or HitchPart()
    if rig.hitch.ball is not None and rig.hitch.ball.weight is not None:
        found["ball"] = rig.hitch.ball
    return found


def _pin_height(rig: Rig[Floats]) -> Typical | None:
    """Height of a hitch in the bed: the bed's floor and the hitch on it."""
    bed = typical(vehicle_class(rig.vehicle.klass), "bed.height", "length")
    if bed is None:
        return None
    above = 0.08 if rig.trailer.style == "gooseneck" or rig.hitch.kind == "gooseneck" else 0.33
    return Typical(
        value=bed.value + above,
        sd=(bed.sd**2 + 0.04**2) ** 0.5,
        source="assumed: over the bed floor",
    )


def _part(build: Builder[F], rig: Rig[F], name: str, part: HitchPart[F]) -> None:
    key = "pin_hitch" if is_pin(rig) else "ball_mount"
    fallback = typical(hitch_table(), key, "mass")
    if name.startswith("reducers."):
        fallback = Typical(value=3.0, sd=1.5, source="assumed: a short steel sleeve")
    build.take(f"hitch.{name}.weight", part.weight, fallback, "item-weighed")
    _at_ball(build, f"hitch.{name}.station", part.station)


def _at_ball(build: Builder[F], path: str, stated: Value[F] | None) -> None:
    """Station of a hitch part; where unsaid it acts a hand ahead of the ball."""
    ball = build.parameters["vehicle.wheelbase"].value + build.parameters["vehicle.overhang"].value
    near = Typical(value=ball - 0.15, sd=0.10, source="assumed: just ahead of the ball")
    build.take(path, stated, near, "tape")


def _bars(build: Builder[F], rig: Rig[F], bars: SpringBars[F]) -> None:
    table = hitch_table()
    weight = typical(table, "bars", "mass")
    build.take("hitch.bars.weight", bars.weight, weight, "item-weighed")
    _at_ball(build, "hitch.bars.station", None)
    build.take("hitch.bars.arm", bars.arm, typical(table, "bar_arm", "length"), "tape")
    build.take("hitch.bars.tip_rate", bars.tip_rate, _tip_rate(rig, bars), "rate")
    if bars.preset is not None:
        build.take("hitch.bars.preset", bars.preset, None, "angle")
        return
    restoration = typical(table, "restoration", "share")
    build.take("hitch.bars.restoration", bars.restoration, restoration, "restoration")


def _tip_rate(rig: Rig[F], bars: SpringBars[F]) -> Typical[F]:
    """Rate of both tips from the bars' rating over a usual travel."""
    travel = typical(hitch_table(), "bar_travel", "length")
    assert travel is not None
    known = rig.trailer.gvwr or rig.trailer.empty.weight
    assert known is not None
    rated = bars.rating.value if bars.rating else 0.12 * known.value
    force = rated * GRAVITY
    return Typical(value=force / travel.value, sd=0.5 * force / travel.value, source=travel.source)
