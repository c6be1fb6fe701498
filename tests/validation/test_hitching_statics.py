"""What an inch does, how bars are set and how a jack slackens them, against algebra and search.

Sources: closed forms of rigid statics, exact; a search over the preset by the plain `loads`; the
energy of all springs minimised by an independent solver (SciPy).
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize
from tests.rigs import RADIUS, exact, one, plain

from steelyard.assessment import Spread, assess
from steelyard.hitching.bars import preset_of
from steelyard.hitching.fit import fit
from steelyard.hitching.height import best_step
from steelyard.hitching.jack import slackening
from steelyard.hitching.result import Fit, Step
from steelyard.hitching.trial import Trial, Tried
from steelyard.quantity import GRAVITY, INCH
from steelyard.rig import Rig
from steelyard.statics.balance import with_bar
from steelyard.statics.contact import energy, settle
from steelyard.statics.prior import prior
from steelyard.travel import plan_stages
from steelyard.words.bars import bar_lines
from steelyard.words.hitching import jack_lines

SLACK: Mapping[str, float] = {"arm": 0.7, "tip_rate": 60e3}
BARS: Mapping[str, float] = {**SLACK, "restoration": 0.5}


def tried(rig: Rig, *heights: float, **changes: float) -> Tried:
    """A rig of exact numbers at some heights of the ball's centre, one draw alike."""
    values = dict(prior(rig).estimate.at_mean())
    values.update({name.replace("__", "."): np.asarray(x) for name, x in changes.items()})
    trial = Trial(rig=rig, plans=plan_stages(rig), values=values, draws=1)
    return trial.at(np.array([[h + RADIUS, h + RADIUS] for h in heights]))


def measured(rig: Rig) -> Fit:
    """The whole answer for a rig of exact numbers."""
    return fit(rig, draws=8)


class TestAnInch:
    """dT/dphi = W[(z_cg - z_b)/s_a + s (z_b - z_hub)/s_a^2], one axle; stiff springs."""

    @pytest.mark.parametrize("cg_height", [0.25, 0.55, 1.1])
    @pytest.mark.parametrize("hub", [0.35, 0.55])
    def test_one_axle(self, cg_height: float, hub: float) -> None:
        """A ball h higher stands the nose h/s_a up and changes the tongue by the closed form."""
        small = INCH / 100  # the formula is a slope at level
        rig = plain(height=cg_height, front_rate=1e9, rear_rate=1e9, axle_rate=1e9)
        found = tried(rig, 0.55, 0.55 + small, trailer__hub_height=hub)
        tongue = found.split(found.loads.tongue)[0, :, 0]
        pitch = found.split(found.loads.heights.trailer_pitch)[0, :, 0]
        weight, cg, axle = one(found.loads.trailer), 4.5, 5.1
        slope = weight * ((cg_height - 0.55) / axle + cg * (0.55 - hub) / axle**2)
        turn = pitch[1] - pitch[0]
        assert turn == pytest.approx(-small / axle, rel=1e-4)
        assert tongue[1] - tongue[0] == pytest.approx(slope * turn, rel=2e-3, abs=1e-3)

    def test_independent(self) -> None:
        """Two axles of their own: dT = k h (s2 - s1)^2/(s1^2 + s2^2), CG and hubs at the ball."""
        rig = plain(
            axles=(4.6, 5.6), suspension="independent", front_rate=1e9, rear_rate=1e9, axle_rate=2e5
        )
        found = tried(rig, 0.55, 0.55 + INCH, 0.55 - INCH, trailer__hub_height=0.55)
        tongue = found.split(found.loads.tongue)[0, :, 0]
        rate = float(prior(rig).estimate.at_mean()["trailer.axles.rate"])
        change = rate * INCH * 1.0**2 / (4.6**2 + 5.6**2)
        assert tongue[1] - tongue[0] == pytest.approx(change, rel=0.03)
        assert tongue[2] - tongue[0] == pytest.approx(-change, rel=0.03)

    def test_signs_differ_by_suspension(self) -> None:
        """High weight: an inch up is less tongue on an equaliser, more on torsion."""
        found = measured(plain(axles=(4.6, 5.6), height=0.9)).pitch
        assert [one.suspension for one in found] == ["equaliser", "independent"]
        assert found[0].inch_up_tongue_kg.value < 0 < found[1].inch_up_tongue_kg.value
        assert found[1].inch_up_axles_kg[0].value < 0 < found[1].inch_up_axles_kg[1].value
        for kind in found:  # an inch down undoes an inch up, but for the square of an inch
            up = [kind.inch_up_tongue_kg.value, *(x.value for x in kind.inch_up_axles_kg)]
            down = [kind.inch_down_tongue_kg.value, *(x.value for x in kind.inch_down_axles_kg)]
            assert down == pytest.approx([-x for x in up], rel=0.1)

    def test_what_nobody_said_of_the_axles_is_assumed(self) -> None:
        """The kind taken where the file says none, and only that; one axle leaves none open."""

        def assumed(axles: tuple[float, ...], kind: str | None) -> list[bool]:
            rig = plain(axles=axles)
            own = rig.trailer.axles.model_copy(update={"suspension": kind})
            trailer = rig.trailer.model_copy(update={"axles": own})
            return [
                one.assumed for one in measured(rig.model_copy(update={"trailer": trailer})).pitch
            ]

        assert assumed((4.6, 5.6), None) == [True, False]
        assert assumed((4.6, 5.6), "equaliser") == [False, False]
        assert assumed((5.1,), None) == [False]


class TestBars:
    """The preset the statics solves for, found again by search; the fenders that show it."""

    def test_search_over_preset(self) -> None:
        """A fine search over the preset restores each share asked for at the same preset."""
        stated = plain(bars={**SLACK, "preset": 0.0})
        grid = np.linspace(-0.05, 0.19, 481)
        shares = [one(tried(stated, 0.55, hitch__bars__preset=p).loads.restoration) for p in grid]
        for share in (0.25, 0.5, 1.0):
            solved = tried(plain(bars=BARS), 0.55, hitch__bars__restoration=share)
            preset = one(preset_of(solved.loads.balance))
            assert np.interp(share, shares, grid) == pytest.approx(preset, abs=1e-6)

    @pytest.mark.parametrize("share", [0.25, 0.5, 0.75, 1.0])
    def test_fenders(self, share: float) -> None:
        """On one front spring the arch comes down by the very share of the load given back."""
        rig = plain(bars={**BARS, "restoration": share})
        bars = measured(rig).bars
        assert bars is not None
        assert bars.fenders is not None
        rise = bars.fenders.front_off.value
        lost = bars.front_load_lost_kg.value if bars.front_load_lost_kg else np.nan
        rate = 75e3 * 1e9 / (75e3 + 1e9)
        assert rise == pytest.approx(lost * GRAVITY / rate, rel=1e-6)
        assert bars.fenders.front_on.value == pytest.approx((1 - share) * rise, abs=1e-9)

    def test_what_is_known_of_the_setting_is_told(self) -> None:
        """Numbers without spread: chain is the preset times the chain's arm, and both are told."""
        bars = measured(plain(bars=BARS)).bars
        assert bars is not None
        assert bars.preset is not None
        assert bars.take_up is not None
        assert bars.take_up.value == pytest.approx(0.7 * bars.preset.value)
        told = " ".join(bar_lines(bars, "metric"))
        assert f": {np.degrees(bars.preset.value):.1f}° (" in told
        assert f" of preset, or {1000 * bars.take_up.value:.0f} ± 0 mm of chain" in told

    def test_slack_at_one_stage_pressing_at_another(self) -> None:
        """Chains that the light trailer leaves slack restore nothing there and something under the
        heavy one; each stage is told its own."""
        items = {"load": ("trailer", 600.0, 0.5)}
        stages: dict[str, Any] = {"heavy": {}, "light": {"items": []}}
        rig = plain(bars={**SLACK, "preset": -0.04}, items=items, stages=stages)
        heavy, light = (stage.tongue for stage in assess(rig, draws=8).stages)
        assert heavy.restoration is not None
        assert light.restoration is not None
        assert heavy.restoration.value > 0.1
        assert light.restoration.value == light.bar_moment.value == 0.0


class TestJack:
    """Lifting the tongue until the bars hang slack."""

    def test_energy(self) -> None:
        """With the force found the least energy has slack bars; with 2 % less it has not."""
        rig = plain(bars=BARS)
        found = tried(rig, 0.55)
        force, _ = slackening(found, np.asarray(0.45))
        balance = found.loads.balance
        preset = preset_of(balance)
        springs = with_bar(balance.link, balance.bar_rate, preset)
        scale = np.array([1e-2, 1e-2, 1e-2])

        def opening(lift: float) -> float:
            up = [lift * np.asarray(x) for x in balance.link.at_trailer(np.asarray(0.45))]
            parts = zip(balance.load, up, strict=True)
            a, b, c = (one(np.broadcast_to(f - x, (1, 2))) for f, x in parts)
            load = (a, b, c)

            def total(scaled: Any) -> float:
                u = scaled * scale
                return float(np.ravel(energy(springs, load, (u[0], u[1], u[2])))[0])

            best = minimize(total, np.ones(3), method="Nelder-Mead", options=_FINE).x * scale
            wheelbase = 3.7
            return float((best[1] - best[0]) / wheelbase + best[2] + one(preset))

        lift = one(np.broadcast_to(force, (1, 2)))
        assert opening(lift) == pytest.approx(0.0, abs=2e-6)
        assert opening(0.98 * lift) > 2e-6

    def test_a_jack_nobody_measured(self) -> None:
        """Lever about the axle: T s_a/(s_a - s_j), 0.45 m behind the ball (common practice)."""
        jack = measured(plain(front_rate=1e9, rear_rate=1e9, axle_rate=1e9)).jack
        lift = jack.lifts[0]
        assert lift.carries_kg.value == pytest.approx(3000 * (5.1 - 4.5) / (5.1 - 0.45), rel=1e-6)
        kilograms = f"carrying {lift.carries_kg.value:.0f}"
        assert any(
            line.startswith(f"To couple it works {kilograms}")
            for line in jack_lines(jack, "metric")
        )

    def test_without_bars_settled(self) -> None:
        """At that force the bars' spring in the contact kernel carries nothing."""
        rig = plain(bars=BARS)
        found = tried(rig, 0.55)
        force, _ = slackening(found, np.asarray(0.45))
        balance = found.loads.balance
        springs = with_bar(balance.link, balance.bar_rate, preset_of(balance))
        up = balance.link.at_trailer(np.asarray(0.45))
        a, b, c = (f - force * x for f, x in zip(balance.load, up, strict=True))
        assert float(np.max(settle(springs, (a, b, c)).force[-1])) < 1e-3


_FINE = {"xatol": 1e-10, "fatol": 1e-12, "maxiter": 20_000, "maxfev": 20_000}


def test_foot_by_hand() -> None:
    """Stiff springs, ball 0.10 m over the level coupler, axle 5.1 m back: 0.45 m behind the ball
    the foot, 0.45 m up on a level trailer, stands 0.10 (1 - 0.45/5.1) m higher."""
    rig = plain(ball=0.65, front_rate=1e9, rear_rate=1e9, axle_rate=1e9)
    stated = {**rig.model_dump(exclude_none=True, by_alias=True)}
    lengths = {"station": 0.45, "flange": 0.70, "retracted": 0.25, "travel": 0.40}
    stated["hitch"]["jack"] = {key: exact(x, "m") for key, x in lengths.items()}
    stated["hitch"]["ball_mount"] = {"weight": exact(0.0, "kg"), "drop": exact(0.1, "m")}
    foot = fit(Rig.model_validate(stated), steps=(0.1,), draws=8).jack.foot
    assert foot is not None
    assert foot.value == pytest.approx(0.45 + 0.10 * (1 - 0.45 / 5.1), abs=2e-4)


@pytest.mark.parametrize(
    ("hitch", "over"),
    [
        ({"ball": {"size": "2 in"}}, 2 * INCH),
        ({"ball": {"size": "2 5/16 in"}}, 2.3125 * INCH),
        ({"ball": {}}, 2 * INCH),
        ({"ball": None}, 0.0),
    ],
)
@pytest.mark.parametrize(("blocks", "verdict"), [(0.10, "within"), (0.01, "exceeded")])
def test_a_jack_lifts_the_coupler_over_the_ball_by_hand(
    hitch: Mapping[str, Any], over: float, blocks: float, verdict: str
) -> None:
    """Axle 5.1 m and jack 0.6 m behind the ball: to stand over the unladen ball the coupler goes up
    by how far that is higher, the ball's diameter (2 in where unsaid; none under a king pin) and
    half an inch (assumed, docs/method.md), the flange by 1 - 0.6/5.1 of that. It reaches its parts'
    sum."""
    rig = plain(ball=0.65, front_rate=1e9, rear_rate=1e9, axle_rate=1e9)
    stated = {**rig.model_dump(exclude_none=True, by_alias=True)}
    lengths = {"station": 0.6, "flange": 0.70, "retracted": 0.25, "travel": 0.30, "drop_leg": 0.13}
    jack = {key: exact(x, "m") for key, x in {**lengths, "blocks": blocks}.items()}
    stated["hitch"] |= {**hitch, "jack": jack}
    if not over:
        stated["trailer"]["style"] = "fifth-wheel"
        stated["hitch"].pop("ball_mount")
    found = fit(Rig.model_validate(stated), draws=8)
    (lift,) = found.jack.lifts
    rise = found.height.chosen.ball.best - (0.55 + RADIUS) + over + INCH / 2
    assert lift.needed.value == pytest.approx(0.70 + rise * 4.5 / 5.1, abs=1e-5)
    assert lift.reach is not None
    assert lift.reach.value == pytest.approx(0.68 + blocks)
    assert (lift.short, lift.verdict) == (float(verdict == "exceeded"), verdict)


def test_ramps_at_the_hitch_and_between_by_hand() -> None:
    """A hitch 0.40 m up and 1.45 m behind the rear axle, less what the load sinks the ball: the
    ramp behind rises atan(low/1.45), the crest to the first trailer axle at 4.6 m that and
    atan(low/4.6). Stations known for sure are answered as any."""
    rig = plain(axles=(4.6, 5.6), rear_rate=60e3)
    stated = {**rig.model_dump(exclude_none=True, by_alias=True)}
    stated["hitch"]["clearance"] = exact(0.40, "m")
    found = measured(Rig.model_validate(stated))
    angles = {one.name: one.value for one in found.clearances}
    sunk = found.height.squat.best
    assert sunk > 0.02
    behind, crest = angles["departure"], angles["breakover"]
    assert behind is not None
    assert crest is not None
    low = 0.40 - sunk
    assert behind.best == pytest.approx(np.arctan2(low, 1.45), rel=1e-6)
    assert crest.best == pytest.approx(np.arctan2(low, 1.45) + np.arctan2(low, 4.6), rel=1e-6)


def test_near_ties_go_to_the_nearest_to_level() -> None:
    """Five points (docs/method.md): a step 4 points less likely but nearer to level at every stage
    is taken, one 6 points less is not, nor one that is on already while another is to be had."""

    def step(chance: float, *noses: float, present: bool = False) -> Step:
        spreads = tuple(Spread(value=x, best=x, sd=0.0, low=x, high=x) for x in noses)
        return Step(
            drop=0.0,
            ball=spreads[0],
            driven=spreads,
            nose=spreads,
            chances=(chance,),
            chance=chance,
            level=True,
            present=present,
        )

    far, near, nearest = step(0.90, 0.01, -0.03), step(0.86, 0.02, -0.02), step(0.84, 0.0, 0.001)
    assert best_step([far, near, nearest], only_present=False) == 1
    assert best_step([far, nearest], only_present=False) == 0
    assert best_step([far, step(0.89, 0.0, np.nan)], only_present=False) == 0
    assert best_step([step(0.99, 0.0, present=True), far], only_present=False) == 1
    assert best_step([step(0.99, 0.0, present=True)], only_present=True) == 0


def test_level_by_hand() -> None:
    """Stiff springs, ball an inch over the level coupler: the nose stands an inch above level."""
    rig = plain(ball=0.55 + INCH, front_rate=1e9, rear_rate=1e9, axle_rate=1e9)
    stated = {**rig.model_dump(exclude_none=True, by_alias=True)}
    stated["hitch"]["ball_mount"] = {"weight": exact(0.0, "kg"), "drop": exact(0.1, "m")}
    found = fit(Rig.model_validate(stated), steps=(0.1, 0.1 + INCH), draws=8).height
    assert found.present is not None
    assert found.present.nose[0].value == pytest.approx(INCH, abs=2e-4)
    assert found.chosen.drop == pytest.approx(0.1 + INCH)
    assert found.chosen.nose[0].value == pytest.approx(0.0, abs=2e-4)
    assert found.wanted_drop is not None
    assert found.wanted_drop.value == pytest.approx(0.1 + INCH, abs=2e-4)


def test_ramp_behind_by_hand() -> None:
    """Level on stiff springs, tail 0.4 m up and 8 m behind the ball, last axle at 5.6 m: the ramp
    that meets it rises atan(0.4/2.4)."""
    rig = plain(axles=(4.6, 5.6), front_rate=1e9, rear_rate=1e9, axle_rate=1e9)
    stated = {**rig.model_dump(exclude_none=True, by_alias=True)}
    stated["trailer"] |= {"length": exact(8.0, "m"), "rear_clearance": exact(0.4, "m")}
    found = next(
        one for one in measured(Rig.model_validate(stated)).clearances if one.name == "rear"
    )
    assert found.value is not None
    assert found.value.value == pytest.approx(np.arctan(0.4 / 2.4), rel=0.02)
