"""Ball height, turning, ramps and the jack's reach against plane geometry done another way.

Source: closed forms of plane trigonometry, exact; outlines turned and tested point by point, and
rigid bodies turned by a rotation matrix, written here without the library.
"""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from steelyard.hitching.clearance import corner_angle, rail_angle, ramp_angle
from steelyard.hitching.jack import flange_height
from steelyard.typical.hitch import ball_over

Points = NDArray[np.float64]


def outline(x0: float, x1: float, half: float) -> Points:
    """Corners of a rectangle from x0 to x1, half its width to either side."""
    return np.array([[x0, half], [x1, half], [x1, -half], [x0, -half]])


def turned(points: Points, angle: float) -> Points:
    """Points turned about the pivot."""
    c, s = math.cos(angle), math.sin(angle)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))


def overlap(a: Points, b: Points) -> bool:
    """Whether two rectangles overlap: no line along any of their edges parts them."""
    for shape in (a, b):
        for edge in (shape[1] - shape[0], shape[2] - shape[1]):
            normal = np.array([-edge[1], edge[0]])
            one, other = a @ normal, b @ normal
            if one.max() <= other.min() or other.max() <= one.min():
                return False
    return True


def first_touch(front: float, half: float, face: float, half_face: float) -> float:
    """Articulation in degrees at which two long boxes first overlap, to 0.01°; inf up to 90°."""
    vehicle = outline(-face - 30.0, -face, half_face)
    box = outline(front, front + 30.0, half)
    for step in range(9001):
        if overlap(vehicle, turned(box, math.radians(step / 100))):
            return step / 100
    return math.inf


class TestTurning:
    """Boxes turned about the pivot in steps of 0.01° until they overlap."""

    @pytest.mark.parametrize(
        ("front", "half", "face", "half_face"),
        [
            (0.95, 1.2, 0.1, 1.0),  # a short tongue: the vehicle's corner meets the box's front
            (0.9, 0.8, 0.05, 1.0),  # a narrow box: its corner meets the bumper
            (0.5, 1.25, 0.3, 1.02),
            (1.6, 1.2, 0.1, 1.0),  # a long tongue: never
            (-1.0, 1.22, 1.2, 1.02),  # a nose ahead of the pin and a near cab
            (-1.0, 1.22, 1.2, 1.4),  # the same with a cab wide enough for the nose's corner
            (-1.2, 1.22, 1.9, 1.02),  # a far cab
            (-1.3, 1.22, 1.2, 1.02),  # a nose over the cab
        ],
    )
    def test_first_contact(self, front: float, half: float, face: float, half_face: float) -> None:
        """The closed form meets the turned outlines to their step, or both say never."""
        found = np.degrees(corner_angle(*(np.array(x) for x in (front, half, face, half_face))))
        assert float(found) == pytest.approx(first_touch(front, half, face, half_face), abs=0.011)

    def test_rail(self) -> None:
        """The rail's line passes through the bumper's corner at the angle found."""
        between, face, half_face = math.radians(50), 0.1, 1.0
        angle = float(rail_angle(*(np.array(x) for x in (between, face, half_face, 1.2))))
        rail = angle + between / 2  # direction of the inner rail, from straight aft
        assert math.cos(rail) * half_face == pytest.approx(-face * math.sin(rail), abs=1e-12)

    def test_short_rail(self) -> None:
        """A rail that ends before the bumper's corner does not meet it: hypot(0.3, 0.4) = 0.5 of
        rails parted by 120 degrees end at a box 0.5 cos 60 = 0.25 back."""
        for front, met in ((0.251, True), (0.249, False)):
            found = rail_angle(*(np.array(x) for x in (np.radians(120), 0.3, 0.4, front)))
            assert bool(np.isfinite(found)) is met


class TestHeights:
    """Heights by stacking centre lines and by turning rigid bodies."""

    def test_stack(self) -> None:
        """Centre of the bore, half a bar up, down the drop, up the ball."""
        centre = 0.533 - 0.0635 / 2
        top = centre + 0.0508 / 2
        assert ball_over(0.533, 0.0635, 0.0508, 0.1016, 0.07) == pytest.approx(
            top - 0.1016 + 0.07, abs=1e-15
        )

    @pytest.mark.parametrize("nose_down", [-0.04, 0.0, 0.05])
    def test_flange(self, nose_down: float) -> None:
        """A flange 0.5 m back and 0.1 m over the coupler, turned with the body about it."""
        c, s = math.cos(nose_down), math.sin(nose_down)
        exact = 0.55 + 0.03 + (0.5 * s + 0.1 * c)
        found = flange_height(*(np.array(x) for x in (0.65, 0.5, 0.03, nose_down)))
        assert float(found) == pytest.approx(exact, abs=0.1 * nose_down**2)

    def test_ramp(self) -> None:
        """A tyre of any radius, tangent to road and ramp, clears a little more than is said."""
        height, back, radius = 0.42, 1.3, 0.4
        said = float(ramp_angle(np.array(height), np.array(back)))
        low, high = 0.0, math.pi / 2
        for _ in range(60):  # the ramp tangent to the tyre starts r tan(angle/2) behind its contact
            angle = (low + high) / 2
            under = math.tan(angle) * (back - radius * math.tan(angle / 2))
            low, high = (angle, high) if under < height else (low, angle)
        assert said < low < said + 0.06
