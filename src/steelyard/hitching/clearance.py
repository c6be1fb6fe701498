"""How far the rig turns and what ramps it clears, from stated dimensions alone."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.hitching.jack import point_height
from steelyard.hitching.result import Clearance
from steelyard.hitching.trial import Tried, tapes
from steelyard.rig import is_pin

Get = Callable[[str], Array]
MOST = np.pi / 2
"""rad: a rig is not asked to turn beyond a right angle."""
WIDE = 10.0
"""m: half a cab of unsaid width, taken to be as wide as it must be to be met."""


def corner_angle(front: Array, half: Array, face: Array, half_face: Array) -> Array:
    """Articulation (rad) at which a box first touches a vehicle; inf where it never does to 90°, 0
    where it reaches over the face as it stands.

    front: pivot back to the box's front face, below zero for a nose ahead of a pin, m; half: half
    its width; face: pivot forward to the vehicle's bumper or cab, m; half_face: half the vehicle's
    width there. Both square in plan, so a rounded corner has more. Either the box's corner meets
    the face, R cos(t + a) = -d with R, a of the corner (front, half), inside the vehicle's width;
    or the vehicle's corner meets the box's front, -d cos t + w sin t = front, inside the box's.
    """
    radius, lean = np.hypot(front, half), np.arctan2(half, front)
    with np.errstate(invalid="ignore"):
        by_box = np.arccos(-face / radius) - lean
        own, tilt = np.hypot(face, half_face), np.arctan2(face, half_face)
        by_vehicle = tilt + np.arcsin(front / own)
        across = front * np.sin(by_box) + half * np.cos(by_box)
        along = half_face * np.cos(by_vehicle) + face * np.sin(by_vehicle)
    touch = np.minimum(
        _valid(by_box, np.abs(across) <= half_face + 1e-12),
        _valid(by_vehicle, np.abs(along) <= half + 1e-12),
    )
    return np.where(front <= -face, 0.0, touch)


def rail_angle(between: Array, face: Array, half_face: Array, front: Array) -> Array:
    """Articulation (rad) at which an A-frame's rail meets the bumper's corner; inf if never to 90°.

    between: angle of the two rails; face and half_face place the corner, m; the rail runs from the
    pivot as far as the box's front at `front`: 90° + atan(face/half_face) - between/2.
    """
    reached = np.hypot(face, half_face) <= front / np.cos(between / 2)
    return _valid(np.pi / 2 + np.arctan2(face, half_face) - between / 2, reached)


def _valid(angle: Array, there: NDArray[np.bool_]) -> Array:
    inside = np.isfinite(angle) & there & (angle >= 0) & (angle <= MOST)
    return np.where(inside, angle, np.inf)


def ramp_angle(height: Array, back: Array) -> Array:
    """Angle (rad) of a ramp that meets a point `height` up and `back` behind a wheel's contact.

    From the contact point: a tyre of any size stands clear of a little more.
    """
    return np.arctan2(height, back)


def clearances(tried: Tried, stage: int) -> tuple[Clearance, ...]:
    """Every angle and gap a rig of this kind has, at one stage and one ball height."""
    turn = (_cab, _rails) if is_pin(tried.trial.rig) else (_box, _frame, _hitch, _breakover)
    return tuple(one(tried, stage) for one in (*turn, _rear))


def _ask(
    tried: Tried,
    name: str,
    title: str,
    paths: Sequence[str],
    find: Callable[[Get], Array],
    *,
    angle: bool = True,
) -> Clearance:
    """The answer where every path is stated, else what is missing."""
    stated = tapes(tried.trial.rig)
    missing = tuple(_UNSAID.get(path, path) for path in paths if path not in stated)
    found = None if missing else np.broadcast_to(find(tried.trial.row), (tried.trial.columns,))
    free = found is not None and not np.isfinite(found[0])
    if found is not None:
        found = np.where(np.isfinite(found), found, MOST)
    return Clearance(
        name=name,
        title=title,
        value=None if found is None else tried.trial.spread(found),
        always=free and angle,
        touches=found is not None and bool(found[0] <= 0),
        is_angle=angle,
        missing=missing,
    )


_UNSAID = {"trailer.front_width": "trailer.width"}


def _box(tried: Tried, _stage: int) -> Clearance:
    paths = ("trailer.box_start", "trailer.front_width", *_FACE, "vehicle.width")

    def find(get: Get) -> Array:
        face = get("vehicle.overhang") - get("vehicle.rear_overhang")
        half, own = get("trailer.front_width") / 2, get("vehicle.width") / 2
        return corner_angle(get("trailer.box_start"), half, face, own)

    return _ask(tried, "box", "box against the bumper", paths, find)


_FACE = ("vehicle.overhang", "vehicle.rear_overhang")


def _frame(tried: Tried, _stage: int) -> Clearance:
    paths = ("trailer.frame_angle", "trailer.box_start", *_FACE, "vehicle.width")

    def find(get: Get) -> Array:
        face = get("vehicle.overhang") - get("vehicle.rear_overhang")
        own = get("vehicle.width") / 2
        return rail_angle(get("trailer.frame_angle"), face, own, get("trailer.box_start"))

    return _ask(tried, "frame", "A-frame against the bumper", paths, find)


def _cab(tried: Tried, _stage: int) -> Clearance:
    paths = ("trailer.box_start", "trailer.front_width", "vehicle.overhang", "vehicle.cab_to_axle")

    def find(get: Get) -> Array:
        ahead = get("vehicle.overhang") + get("vehicle.cab_to_axle")
        half = get("trailer.front_width") / 2
        width = tapes(tried.trial.rig).get("vehicle.width")
        own = get("vehicle.width") / 2 if width else np.full_like(ahead, WIDE)
        return corner_angle(get("trailer.box_start"), half, ahead, own)

    return _ask(tried, "cab", "nose against the cab", paths, find)


def _fallen(tried: Tried, stage: int) -> Array:
    """How far the ball sinks under the load, m, (m,)."""
    stand, link = tried.loads.heights, tried.loads.balance.link
    return np.asarray(tried.split(link.ball_height - stand.ball)[stage, 0])


def _rails(tried: Tried, stage: int) -> Clearance:
    paths = ("trailer.nose_underside", "vehicle.bed_rail_height")

    def find(get: Get) -> Array:
        start = tried.trial.row("trailer.box_start")
        nose = point_height(tried, tried.loads.heights, stage, get("trailer.nose_underside"), start)
        return nose - (get("vehicle.bed_rail_height") - _fallen(tried, stage))

    return _ask(tried, "rails", "nose over the bed's rails", paths, find, angle=False)


def _hitch(tried: Tried, stage: int) -> Clearance:
    def find(get: Get) -> Array:
        low = get("hitch.clearance") - _fallen(tried, stage)
        return ramp_angle(low, get("vehicle.overhang"))

    paths = ("hitch.clearance", "vehicle.overhang")
    return _ask(tried, "departure", "ramp behind the vehicle, at the hitch", paths, find)


def _axle(tried: Tried, place: int) -> Array:
    """Station of one trailer axle, (m,); where it is known for sure it is one number for all."""
    station = np.asarray(tried.loads.balance.link.axles[place])
    return np.broadcast_to(station, (tried.trial.columns,))


def _breakover(tried: Tried, stage: int) -> Clearance:
    paths = ("hitch.clearance", "vehicle.overhang", "trailer.axles.station")

    def find(get: Get) -> Array:
        low = get("hitch.clearance") - _fallen(tried, stage)
        return ramp_angle(low, get("vehicle.overhang")) + ramp_angle(low, _axle(tried, 0))

    return _ask(tried, "breakover", "crest between vehicle and trailer", paths, find)


def _rear(tried: Tried, stage: int) -> Clearance:
    paths = ("trailer.rear_clearance", "trailer.length", "trailer.axles.station")

    def find(get: Get) -> Array:
        end = get("trailer.length")
        low = point_height(tried, tried.loads.heights, stage, get("trailer.rear_clearance"), end)
        return ramp_angle(low, end - _axle(tried, -1))

    return _ask(tried, "rear", "ramp behind the trailer", paths, find)
