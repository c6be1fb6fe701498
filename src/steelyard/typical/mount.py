"""How high a ball stands over the receiver that carries it."""

from typing import Any

from steelyard.quantity import Value
from steelyard.quantity.columns import F
from steelyard.quantity.constants import INCH
from steelyard.rig import FIFTH_WHEELS, HitchPart, Rig
from steelyard.typical.shipped_tables import Typical, default_sd, hitch_table, typical


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
    usual = typical(hitch_table(), "ball_rise", "length")
    assert usual is not None
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
