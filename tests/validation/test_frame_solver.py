"""The elastic rig against PyNite, an independent open frame solver, to 1e-6.

Source: PyNite (general 3D finite elements, linear, small displacements). Vehicle and trailer are
drawn as frames of stiff beams (their bending extrapolated to none), the ball as a stiff link,
springs and tyres as spring elements; weights and the preloads of the springs are nodal loads.
Numbers of the rigs are assumed.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise

import pytest
from Pynite import FEModel3D
from tests.rigs import RADIUS, RIGID, one, plain, solved

from steelyard.quantity import GRAVITY
from steelyard.rig import Rig
from steelyard.statics.loads import Loads

LINK = 1e12
"""N/m of a link that should not give."""
L, H, P = 3.7, 1.45, 0.7
"""m: wheelbase, ball behind the rear axle, arm of the bars."""
VEHICLE, VEHICLE_CG = 2600.0, 1.6
FRONT_RATE, REAR_RATE, AXLE_RATE = 75e3, 85e3, 200e3


class Frame:
    """A plane frame, built from named points and rigid beams through them."""

    def __init__(self) -> None:
        self.model = FEModel3D()
        self.model.add_material("stiff", 1e12, 4e11, 0.3, 0.0)
        self.model.add_section("beam", 1.0, 1.0, 1.0, 1.0)

    def beam(self, points: Mapping[str, float], level: float) -> None:
        """A rigid beam through named points at stations x."""
        names = sorted(points, key=lambda name: points[name])
        for name in names:
            self.model.add_node(name, points[name], level, 0.0)
            held = name == names[0]
            self.model.def_support(name, held, False, True, True, True, len(names) == 1)
        for a, b in pairwise(names):
            self.model.add_member(f"{a}-{b}", a, b, "stiff", "beam")

    def link(self, upper: str, lower: str, rate: float) -> None:
        """A vertical spring between two points, one above the other."""
        self.model.add_spring(f"{upper}|{lower}", upper, lower, rate)

    def ground(self, name: str, rate: float) -> None:
        """A spring to the ground under a point."""
        self.model.def_support_spring(name, "DY", rate)

    def press(self, name: str, force: float) -> None:
        """A downward force (N)."""
        self.model.add_node_load(name, "FY", -force)

    def drops(self, names: Sequence[str]) -> list[float]:
        """Downward displacements (m), the beams' own bending extrapolated away.

        Bending goes as 1/E: what doubling E takes off is what is left.
        """
        soft = self._solved(1e12, names)
        hard = self._solved(2e12, names)
        return [2 * b - a for a, b in zip(soft, hard, strict=True)]

    def _solved(self, stiffness: float, names: Sequence[str]) -> list[float]:
        self.model.materials["stiff"].E = stiffness
        self.model.analyze_linear(check_stability=False)
        return [-float(self.model.nodes[name].DY["Combo 1"]) for name in names]


def series(*rates: float) -> float:
    """Springs one under another."""
    return 1 / sum(1 / rate for rate in rates)


def coupled(
    stations: Mapping[str, float], weight: float, cg: float, *, arm: bool = False
) -> tuple[Frame, float, float]:
    """Vehicle and trailer joined at the ball, weights on, front and rear on rigid-tyre springs.

    Returns the frame and the preloads of the two vehicle springs, the loads of the vehicle alone.
    """
    frame = Frame()
    tip = {"tip": L + H + P} if arm else {}
    hung = {"chain": L + H + P} if arm else {}
    frame.beam({"front": 0.0, "own": VEHICLE_CG, "rear": L, "ball": L + H, **tip}, 1.0)
    shifted = {name: L + H + s for name, s in stations.items()}
    frame.beam({"coupler": L + H, **hung, "weight": L + H + cg, **shifted}, 0.0)
    frame.link("ball", "coupler", LINK)
    frame.press("own", VEHICLE * GRAVITY)
    frame.press("weight", weight * GRAVITY)
    rear = VEHICLE * GRAVITY * VEHICLE_CG / L
    front = VEHICLE * GRAVITY - rear
    for name, load in (("front", front), ("rear", rear)):
        frame.press(name, -load)
    return frame, front, rear


def displacements(found: Loads) -> list[float]:
    """Drops at both axles and the ball, m, from ours."""
    heights = found.heights
    ball = one(heights.ball)
    return [one(heights.front_drop), one(heights.rear_drop), 0.55 + RADIUS - ball]


def close(found: list[float], expected: list[float], scale: float) -> None:
    """Equal to 1e-6 of the scale."""
    assert found == pytest.approx(expected, abs=1e-6 * scale)


def base(**more: object) -> Rig:
    """The rig of this module, but for what a test changes."""
    return plain(
        vehicle=VEHICLE,
        vehicle_cg=VEHICLE_CG,
        wheelbase=L,
        overhang=H,
        **more,  # type: ignore[arg-type]
    )


def test_equalised_tandem_with_bars() -> None:
    """A walking beam on two axles, and bars as a chain spring between an arm and the trailer."""
    weight, cg, s1, s2, tip_rate, preset = 3000.0, 4.5, 4.8, 5.7, 90e3, 0.06
    middle = (s1 + s2) / 2
    bars = {"arm": P, "tip_rate": tip_rate, "preset": preset}
    found = solved(base(weight=weight, cg=cg, axles=(s1, s2), bars=bars))
    axle = series(AXLE_RATE, RIGID)
    frame, front0, rear0 = coupled({"pivot": middle}, weight, cg, arm=True)
    frame.beam({"first": L + H + s1, "hub": L + H + middle, "second": L + H + s2}, -1.0)
    frame.link("pivot", "hub", LINK)
    preload = weight * GRAVITY * cg / middle / 2
    frame.ground("front", series(FRONT_RATE, RIGID))
    frame.ground("rear", series(REAR_RATE, RIGID))
    for name in ("first", "second"):
        frame.ground(name, axle)
        frame.press(name, -preload)
    frame.link("tip", "chain", tip_rate)
    pull = tip_rate * P * preset
    frame.press("tip", -pull)
    frame.press("chain", pull)
    names = ["front", "rear", "ball", "first", "second", "tip", "chain"]
    z = dict(zip(names, frame.drops(names), strict=True))
    close(displacements(found), [z["front"], z["rear"], z["ball"]], 0.1)
    moment = P * (pull + tip_rate * (z["tip"] - z["chain"]))
    assert moment > 500
    loads = [front0 + z["front"] * series(FRONT_RATE, RIGID)]
    loads += [rear0 + z["rear"] * series(REAR_RATE, RIGID)]
    loads += [preload + axle * z["first"], preload + axle * z["second"], moment]
    ours = [found.front, found.rear, *found.trailer_axles, found.bar_moment]
    close([one(x) for x in ours], loads, 1e4)


def test_independent_tandem_off_level() -> None:
    """Two axles on springs of their own, the ball 8 cm above the level coupler."""
    weight, cg, s1, s2 = 3200.0, 4.5, 4.8, 5.7
    rig = base(weight=weight, cg=cg, axles=(s1, s2), suspension="independent", coupler=0.47)
    found = solved(rig)
    axle = series(AXLE_RATE, RIGID)
    frame, front0, rear0 = coupled({"first": s1, "second": s2}, weight, cg)
    level = weight * GRAVITY * cg / (s1 + s2)
    preload = level - axle * 0.08
    frame.ground("front", series(FRONT_RATE, RIGID))
    frame.ground("rear", series(REAR_RATE, RIGID))
    for name in ("first", "second"):
        frame.ground(name, axle)
        frame.press(name, -preload)
    names = ["front", "rear", "ball", "first", "second"]
    z = dict(zip(names, frame.drops(names), strict=True))
    close(displacements(found), [z["front"], z["rear"], z["ball"]], 0.1)
    loads = [front0 + z["front"] * series(FRONT_RATE, RIGID)]
    loads += [rear0 + z["rear"] * series(REAR_RATE, RIGID)]
    loads += [preload + axle * z["first"], preload + axle * z["second"]]
    close([one(x) for x in (found.front, found.rear, *found.trailer_axles)], loads, 1e4)
    assert abs(loads[3] - loads[2]) > 500


@pytest.mark.parametrize("tyre", [RIGID, 520e3])
def test_single_axle_with_helpers(tyre: float) -> None:
    """Helper springs beside the main ones, touched after 1.5 cm of sag, on rigid and real tyres.

    They stand on the axle, so that the tyres are in series under both.
    """
    weight, cg, station, helper, gap = 2800.0, 4.0, 4.8, 60e3, 0.015
    extra = {"helper_rate": f"{helper} N/m", "helper_gap": f"{gap} m"}
    rig = base(weight=weight, cg=cg, axles=(station,), rear=extra, tyre_rate=tyre)
    found = solved(rig)
    frame, front0, rear0 = coupled({"axle": station}, weight, cg)
    frame.beam({"hub": L}, 0.5)
    frame.link("rear", "hub", REAR_RATE + helper)
    frame.ground("hub", tyre)
    frame.ground("front", series(FRONT_RATE, tyre))
    k = series(AXLE_RATE, tyre)
    frame.ground("axle", k)
    preload = weight * GRAVITY * cg / station
    frame.press("axle", -preload)
    frame.press("rear", helper * gap)
    frame.press("hub", -helper * gap)
    names = ["front", "rear", "ball", "axle", "hub"]
    z = dict(zip(names, frame.drops(names), strict=True))
    assert z["rear"] - z["hub"] > gap
    close(displacements(found), [z["front"], z["rear"], z["ball"]], 0.1)
    loads = [front0 + z["front"] * series(FRONT_RATE, tyre), rear0 + z["hub"] * tyre]
    loads += [preload + k * z["axle"]]
    close([one(x) for x in (found.front, found.rear, *found.trailer_axles)], loads, 1e4)
