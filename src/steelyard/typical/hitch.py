"""The hitch's parameters: weights and places of its parts, the ball's height, spring bars."""

from typing import Any

from steelyard.quantity import GRAVITY, INCH, F, Floats, Value
from steelyard.rig import FIFTH_WHEELS, HitchPart, Rig, SpringBars, is_pin
from steelyard.typical.sheet import Builder
from steelyard.typical.shipped_tables import (
    Typical,
    default_sd,
    hitch_table,
    present,
    typical,
    vehicle_class,
)


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
    travel = present(hitch_table(), "bar_travel", "length")
    known = rig.trailer.gvwr or rig.trailer.empty.weight
    assert known is not None
    rated = bars.rating.value if bars.rating else 0.12 * known.value
    force = rated * GRAVITY
    return Typical(value=force / travel.value, sd=0.5 * force / travel.value, source=travel.source)


def ball_over(height: Any, opening: Any, shank: Any, drops: Any, rise: Any) -> Any:
    """Height of the top of the ball, m: z_r - (o - b)/2 - (sum of drops) + rise.

    height: top inside edge of the receiver's opening above ground, z_r; opening: its inside, o;
    shank: outside of the innermost bar, b, each sleeve of a stack standing centred in the next;
    drops: of every reducer and of the ball mount, a rise below zero; rise: platform to top of ball.
    Plain geometry, no play in the sleeves; everything broadcasts.
    """
    return height - (opening - shank) / 2 - drops + rise


BALL = 2 * INCH
"""Diameter of a ball nobody measured (assumed; 50 mm, 1 7/8 and 2 5/16 in are near)."""


def ball_radius(rig: Rig[F]) -> F:
    """How far below its top a ball's centre lies, m: where the coupler turns and pushes.

    Half the size stated of ball or coupler, else of a usual ball. A fifth wheel's plate, a hook
    and a drawbar's eye are measured where they turn, so theirs is 0.
    """
    kind = rig.hitch.kind or ("fifth-wheel" if rig.trailer.style in FIFTH_WHEELS else "ball")
    if kind not in ("ball", "gooseneck"):
        return 0.0
    sizes = (part.size for part in (rig.hitch.ball, rig.hitch.coupler) if part is not None)
    return next((size.value for size in sizes if size is not None), BALL) / 2


def without_drop(rig: Rig[F]) -> Typical[F] | None:
    """Height of the ball on a mount that neither drops nor rises, vehicle alone; None where the
    receiver's height is not stated. Where a size is unsaid the bars are taken to be of one size."""
    receiver = rig.hitch.receiver
    if receiver is None or receiver.height is None:
        return None
    mount, ball = rig.hitch.ball_mount or HitchPart(), rig.hitch.ball or HitchPart()
    sized = receiver.opening is not None and mount.shank is not None
    opening, shank = (receiver.opening, mount.shank) if sized else (None, None)
    sleeves: list[Value[F] | None] = [part.drop for part in rig.hitch.reducers.values()]
    usual = present(hitch_table(), "ball_rise", "length")
    rise, rise_sd = (usual.value, usual.sd) if ball.rise is None else _read(ball.rise)
    parts = [_read(one) for one in (receiver.height, *sleeves)]
    value = ball_over(
        receiver.height.value,
        opening.value if opening else 0.0,
        shank.value if shank else 0.0,
        sum(drop for drop, _ in parts[1:]),
        rise,
    )
    sd = (sum(one**2 for _, one in parts) + rise_sd**2) ** 0.5
    return Typical(value=value, sd=sd, source="receiver height and the parts on it, by tape")


def over_receiver(rig: Rig[F]) -> Typical[F] | None:
    """Height of the ball as the parts stated would set it, vehicle alone, or None."""
    base, mount = without_drop(rig), rig.hitch.ball_mount
    if base is None or mount is None or mount.drop is None:
        return None
    drop, sd = _read(mount.drop)
    return Typical(value=base.value - drop, sd=(base.sd**2 + sd**2) ** 0.5, source=base.source)


def _read(stated: Value[F] | None) -> tuple[F, F]:
    """A stated length and its sd; nothing stated is nothing there."""
    if stated is None:
        return 0.0, 0.0
    known = stated.sd
    return stated.value, default_sd("tape", stated.value, "length") if known is None else known
