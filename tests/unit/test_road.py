"""Brakes and grades: answers at their root, unknown never safe, lift-off said, rules by region."""

import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from tests.rigs import exact, plain

from steelyard.braking.footing import Footing, Rolling, friction_used, rolling
from steelyard.braking.grade import force_grade, traction_grade
from steelyard.braking.result import Range, StageRoad
from steelyard.braking.settings import GRIPPIEST, Setting, Settings, require
from steelyard.braking.stage_ranges import findings, spread
from steelyard.braking.stage_road import brake_split, road, settings_for
from steelyard.braking.stopping import chord, distance, limit, lock
from steelyard.cli.road_words import loads as load_lines
from steelyard.cli.road_words import stops
from steelyard.quantity import GRAVITY, Z95
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.travel import crewed
from steelyard.words.road import (
    climb_lines,
    descent_lines,
    grade_lines,
    lock_line,
    push_line,
    road_verdict,
    span,
    tangent,
    unstated_lines,
)

SURE = Settings(
    friction=Setting(value=0.7),
    front_share=Setting(value=0.65),
    trailer_share=Setting(value=0.8),
    rolling=Setting(value=0.0),
    drag_area=Setting(value=4.0),
    driveline=Setting(value=1.0),
)


def small(region: str | None = None, **trailer: Any) -> Rig:
    """A rig of which hardly anything is stated."""
    return Rig.model_validate(
        {
            **({"region": region} if region else {}),
            "everything_listed": True,
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {"style": "enclosed-cargo", "empty": {"weight": "1500 kg"}, **trailer},
        }
    )


def first(rig: Rig, settings: Settings | None = None, draws: int = 200) -> StageRoad:
    """The answer at the only stage."""
    return road(rig, settings=settings, draws=draws)[0]


def moving(rig: Rig) -> Rolling:
    """The rig at its best estimate, a driver in it as `road` has it."""
    v = prior(crewed(rig)).estimate.at_mean()
    return rolling(loads(crewed(rig), v), v)


def fitted(rig: Rig, *, brakes: bool | None = True, **vehicle: Any) -> Rig:
    """The rig with more stated."""
    data = rig.model_dump(by_alias=True, exclude_none=True)
    data["trailer"]["brakes"] = brakes
    data["vehicle"].update(vehicle)
    return Rig.model_validate(data)


@pytest.mark.parametrize("brakes", [True, False])
@pytest.mark.parametrize("weight", [1200.0, 3000.0, 5000.0])
def test_the_stop_is_at_the_limit(*, brakes: bool, weight: float) -> None:
    """At the deceleration found, brake forces at mu of each tyre hold exactly the whole rig."""
    rig = plain(height=1.1, weight=weight)
    found = first(rig, SURE, draws=10)
    stop = next(s for s in found.stops if not s.down and s.trailer_brakes is brakes)
    j = stop.reachable.best
    still = moving(rig)
    wanted = held = 0.8 * weight * j if brakes else 0.0
    for _ in range(50):  # sliding tyres give mu of what they bear while they give it
        held = min(wanted, 0.7 * still.at(0.0, j, held).trailer_axles[0].item())
    there = still.at(0.0, j, held)
    given = 0.7 * (there.front + there.rear).item() + held
    assert still.mass.item() * j == pytest.approx(given, rel=1e-4)


@pytest.mark.parametrize("brakes", [True, False])
def test_the_first_axle_to_lock_is_at_its_friction(*, brakes: bool) -> None:
    """At the deceleration found the first axle's brake force is mu of its load, others' below; told
    is what they use of theirs at the deceleration asked about."""
    rig = plain(height=1.1, bars={"arm": 0.75, "tip_rate": 40e3, "preset": 0.05})
    locking = next(x for x in first(rig, SURE, draws=10).locking if x.trailer_brakes is brakes)
    still, share = moving(rig), 0.8 if brakes else 0.0

    def friction(j: float) -> dict[str, float]:
        held = share * 3000.0 * j
        there, own = still.at(0.0, j, held), still.mass.item() * j - held
        forces = {"front": 0.65 * own, "rear": 0.35 * own, "trailer 1": held}
        carried = {"front": there.front, "rear": there.rear, "trailer 1": there.trailer_axles[0]}
        return {name: forces[name] / carried[name].item() for name in forces}

    told = {name: one.best for name, one in locking.used.items()}
    assert told == pytest.approx(friction(SURE.deceleration))
    used = friction(locking.deceleration.best)
    (name,) = locking.first
    assert used[name] == pytest.approx(0.7, rel=1e-6)
    assert max(used.values()) == used[name]


def test_an_axle_that_lifts_is_said_and_bears_nothing() -> None:
    """A tall trailer braked far beyond any tyre: no negative load, the axle named, exceeded."""
    asked = replace(SURE, deceleration=15.0, trailer_share=Setting(value=1.0))
    found = first(fitted(plain(height=3.0)), asked, draws=10)
    hard = next(s for s in found.stances if s.name == "braking" and s.trailer_brakes)
    assert "trailer 1" in hard.lifted
    assert hard.lifts == 1.0
    assert all(not axle.load_kg.value < 0.0 for axle in hard.axles)
    assert {f.name: f.verdict for f in found.findings}["lift"] == "exceeded"


def test_a_stop_as_firm_as_asked_needs_the_grip_for_it() -> None:
    """v t + v2/2d where the tyres can give d, else never; the shortest is as far as they give. Down
    the grade a trailer's 3,000 kg without brakes are too much, elsewhere they are not."""
    firm = SURE.speed * SURE.reaction + SURE.speed**2 / (2.0 * SURE.deceleration)
    for stop in first(plain(), SURE, draws=10).stops:
        can = not stop.down or stop.trailer_brakes
        assert (stop.reachable.best >= SURE.deceleration) is can
        assert stop.firm.best == (pytest.approx(firm) if can else np.inf)
        assert (stop.shortest.best <= firm) is can
        assert stop.short == (0.0 if can else 1.0)


def test_what_a_descent_gives_the_brakes() -> None:
    """Without rolling, m g sin along the road is what all brakes take and four fifths of the
    trailer's part what its own may; over the time it lasts that is a power; a stop takes m v^2/2
    more. With so much rolling that nothing is left to brake, its own brakes take nothing."""
    rig = plain(height=1.1)
    found, sin = first(rig, SURE, draws=10).descent, np.sin(np.arctan(SURE.grade))
    mass, trailer = moving(rig).mass.item(), 3000.0
    held = mass * 9.80665 * sin * SURE.length
    assert found.drop == pytest.approx(SURE.length * sin)
    assert (found.energy.best, found.brakes.best) == pytest.approx((held, held))
    assert found.own.best == pytest.approx(held * 0.8 * trailer / mass)
    assert found.power.best == pytest.approx(held * SURE.speed / SURE.length)
    assert found.stop.best == pytest.approx(0.5 * mass * SURE.speed**2)
    rough = first(rig, replace(SURE, rolling=Setting(value=0.07)), draws=10).descent
    assert (rough.energy.best, rough.brakes.best, rough.own.best) == pytest.approx((held, 0.0, 0.0))


def test_a_negative_tongue_stays_negative_and_finite() -> None:
    """A tail-heavy trailer pulls the ball up, standing and uphill; nothing else breaks."""
    found = first(plain(cg=5.3, height=1.1), SURE, draws=10)
    up = next(s for s in found.stances if s.name == "uphill")
    assert up.coupling_kg.value < 0.0
    assert np.isfinite([axle.load_kg.value for axle in up.axles]).all()


def test_no_friction_never_stops() -> None:
    """On ice without any grip nothing slows, level or down, and no grade can be climbed."""
    found = first(
        fitted(plain(), driven="rear"), replace(SURE, friction=Setting(value=0.0)), draws=10
    )
    assert all(stop.never == 1.0 and stop.shortest.value == np.inf for stop in found.stops)
    assert found.climb.slips == 1.0
    assert found.verdict == "exceeded"


def test_a_flat_road_takes_nothing() -> None:
    """Zero grade and no rolling: no pull, no energy, loads as standing, no push."""
    found = first(plain(), replace(SURE, grade=0.0), draws=10)
    for stance in found.stances:
        if stance.name != "braking":
            assert stance.push.value == pytest.approx(0.0, abs=1e-9)
            assert stance.coupling_change_kg.value == pytest.approx(0.0, abs=1e-9)
    assert found.climb.needed.value == pytest.approx(0.0, abs=1e-9)
    assert found.descent.energy.value == pytest.approx(0.0, abs=1e-9)


def test_what_moves_from_axle_to_axle_is_told_with_its_sign() -> None:
    """Each axle's load, and the ball's, less its change is how it stands, all of it, on any road.
    Braked on the level the front axle gains, nothing is lost, and what a high trailer's axle gives
    up the coupling takes; none of it lifts."""
    rig = plain(height=1.1)
    found = first(rig, SURE, draws=10)
    standing = loads(crewed(rig), prior(crewed(rig)).estimate.at_mean()).tongue.item() / GRAVITY
    for stance in found.stances:
        assert stance.lifted == ()
        before = stance.coupling_kg.best - stance.coupling_change_kg.best
        assert before == pytest.approx(standing, rel=1e-6)
        stands = [axle.load_kg.best - axle.change_kg.best for axle in stance.axles]
        assert sum(stands) == pytest.approx(moving(rig).mass.item(), rel=1e-6)
        assert stands == pytest.approx(
            [axle.load_kg.best - axle.change_kg.best for axle in found.stances[0].axles]
        )
        if stance.name == "braking":
            front, rear, trailer = (axle.change_kg.best for axle in stance.axles)
            assert front > 0.0 > trailer
            assert front + rear + trailer == pytest.approx(0.0, abs=1e-6)
            assert stance.coupling_change_kg.best == pytest.approx(-trailer, abs=1e-6)


def test_the_push_is_newtons_second_law() -> None:
    """A trailer of 3,000 kg braking four fifths of itself pushes with the fifth that is left."""
    found = first(plain(), SURE, draws=10)
    angle = float(np.arctan(0.06))
    asked = {"braking": (0.0, 3.4), "uphill": (angle, 0.0), "downhill": (-angle, 0.0)}
    assert all((s.slope, s.deceleration) == asked[s.name] for s in found.stances)
    pushes = {(s.name, s.trailer_brakes): s.push.value for s in found.stances}
    assert pushes["braking", True] == pytest.approx(0.2 * 3000.0 * 3.4)
    assert pushes["braking", False] == pytest.approx(3000.0 * 3.4)
    slope = 3000.0 * GRAVITY * np.sin(np.arctan(0.06))
    assert pushes["uphill", False] == pytest.approx(-slope)
    assert pushes["downhill", False] == pytest.approx(slope)
    assert pushes["downhill", True] == pytest.approx(0.2 * slope)


@pytest.mark.parametrize(
    ("rig", "verdict", "name"),
    [
        (small("europe", brakes=False), "exceeded", "rules.uk-unbraked"),
        (small("europe", brakes=True), "within", "rules.uk-unbraked"),
        (small("europe"), "unknown", "rules.uk-unbraked"),
        (small("australia-new-zealand", brakes=False), "exceeded", "rules.brakes-none"),
        (
            small(
                "australia-new-zealand", brakes=True, braked_axles=1, empty={"weight": "2600 kg"}
            ),
            "exceeded",
            "rules.brakes-all-wheels",
        ),
    ],
)
def test_brakes_by_rulebook(rig: Rig, verdict: str, name: str) -> None:
    """A rule that was read decides: none where due is exceeded, unsaid is unknown."""
    rules = {rule.name: rule for rule in first(rig).rules}
    assert rules[name].verdict == verdict
    assert not rules[name].note


@pytest.mark.parametrize(("mass", "verdict"), [("2000 kg", "within"), ("2001 kg", "exceeded")])
def test_the_rule_begins_above_its_weight(mass: str, verdict: str) -> None:
    """Brakes on all wheels are due above 2,000 kg on the axles (the rulebook's text), not at it."""
    trailer = {"brakes": True, "braked_axles": 1, "gtm": mass, "axles": {"count": 2}}
    rules = {
        rule.name: rule.verdict for rule in first(small("australia-new-zealand", **trailer)).rules
    }
    assert rules["rules.brakes-all-wheels"] == verdict


def test_the_worst_of_the_stances_and_the_slowing_asked_decide() -> None:
    """One stance in which an axle lifts in 3 draws of 10, and a stop that falls short of what is
    asked for in one of 10: nobody can tell, and tight, whatever else holds."""
    found = first(fitted(plain()), SURE, draws=10)
    stances = (*found.stances[:1], replace(found.stances[2], lifts=0.3), *found.stances[3:])
    stops = (replace(found.stops[0], short=0.1), *found.stops[1:])
    told = findings(True, stances, stops, found.climb, (), 0.025, ())
    verdicts = {one.name: one.verdict for one in told}
    assert verdicts["lift"] == "cannot tell"
    assert verdicts["stop-downhill" if stops[0].down else "stop-level"] == "tight"


def test_the_range_is_the_middle_95_in_100() -> None:
    """Of the numbers 1 to 1,000 the 2.5 and 97.5 percentiles are 25 and 975; no balance is none."""
    found = spread(np.array([500.0, *range(1, 1001), np.nan]))
    assert (found.best, found.low, found.value, found.high) == (500.0, 25.0, 500.0, 975.0)
    assert spread(np.array([500.0, np.nan])).best == 500.0


def test_a_rule_of_some_states_never_decides() -> None:
    """North America's rules are single states': without brakes the need is unknown, not within."""
    found = first(small(brakes=False))
    assert all(rule.note for rule in found.rules)
    assert {f.name: f.verdict for f in found.findings}["brakes-due"] == "unknown"


def test_a_note_forbids_nothing_and_a_rule_that_decides_does() -> None:
    """Whatever a note says, the stage's verdict and whether it refuses are those without it; the
    same said by a rule that decides is exceeded and refuses."""
    found = first(small(brakes=True))
    said = replace(found.rules[0], verdict="exceeded", chance=1.0)
    plain = replace(found, rules=())
    noted = replace(found, rules=(replace(said, note=True),))
    ruled = replace(found, rules=(replace(said, note=False),))
    assert (noted.verdict, noted.refuses) == (plain.verdict, plain.refuses)
    assert (plain.refuses, ruled.verdict, ruled.refuses) == (False, "exceeded", True)


def test_the_label_decides_in_any_region() -> None:
    """The vehicle's own rating for unbraked trailers, passed without brakes, is exceeded."""
    rated = {"tow_rating_unbraked": "2000 lb", "tow_rating": "9000 lb"}
    rig = fitted(small(), brakes=False, **rated)
    rules = {rule.name: rule.verdict for rule in first(rig).rules}
    assert rules["vehicle.tow_rating_unbraked"] == "exceeded"


def test_what_nobody_states_is_unknown() -> None:
    """No brakes, driven axle, pull or power stated: none of them is guessed."""
    found = first(small())
    climb = found.climb
    said = (climb.used, climb.slips, climb.traction, climb.forced, climb.short, climb.held)
    assert said == (None,) * 6
    verdicts = {f.name: f.verdict for f in found.findings}
    due = {"trailer-brakes", "grip", "drive-force"}
    assert {name for name, verdict in verdicts.items() if verdict == "unknown"} == due


def test_all_driven_grips_best_and_more_pull_climbs_steeper() -> None:
    """Driving both axles beats either; twice the pull does not climb less."""
    rig = plain(height=1.1)
    grips = {
        d: first(fitted(rig, driven=d), SURE, draws=10).climb for d in ("front", "rear", "all")
    }
    best = {d: climb.traction.value for d, climb in grips.items() if climb.traction}
    assert best["all"] > max(best["front"], best["rear"])
    pulls = [
        first(fitted(rig, drive_force=exact(f, "N")), SURE, draws=10).climb for f in (9e3, 18e3)
    ]
    steep = [climb.forced.value for climb in pulls if climb.forced]
    assert steep[0] < steep[1]


def test_a_pull_said_without_its_spread_is_known_to_5_percent() -> None:
    """Of a pull read off a brochure (assumed): as wide as with the 95 % written beside it."""
    said, spread = (
        first(fitted(plain(), driven="all", drive_force=text), SURE).climb.forced
        for text in ("9000 N", "9000 N +- 450 N")
    )
    assert said == spread


def test_what_a_climb_takes() -> None:
    """F = m g (sin + c cos) at the driven tyres, (F + rho A v^2/2) v/eta of the engine, rho 1.225
    (ISO 2533); the tyres use F over their load, and no drag or rolling is below nothing."""
    rig = fitted(plain(height=1.1), driven="rear")
    asked = replace(SURE, rolling=Setting(value=0.02), driveline=Setting(value=0.8))
    climb, angle = first(rig, asked, draws=10).climb, np.arctan(SURE.grade)
    force = moving(rig).mass.item() * 9.80665 * (np.sin(angle) + 0.02 * np.cos(angle))
    assert climb.needed.best == pytest.approx(force)
    drag = 0.5 * 1.225 * 4.0 * SURE.speed**2
    assert climb.power.best == pytest.approx((force + drag) * SURE.speed / 0.8)
    assert climb.used is not None
    up = next(s for s in first(rig, asked, draws=10).stances if s.name == "uphill")
    assert climb.used.best == pytest.approx(force / (up.axles[1].load_kg.best * 9.80665))
    smooth = replace(asked, rolling=Setting(value=-0.5))
    free = moving(rig).mass.item() * 9.80665 * np.sin(angle)
    assert first(rig, smooth, draws=10).climb.needed.best == pytest.approx(free)


@pytest.mark.parametrize(("part", "slower"), [(1.1, 0.0), (0.9, 1.0)])
def test_less_power_than_it_takes_is_slower(part: float, slower: float) -> None:
    """A tenth more than holding the speed takes holds more, a tenth less less."""
    rig = plain(height=1.1)
    watts = part * first(rig, SURE, draws=10).climb.power.best
    climb = first(fitted(rig, engine_power=exact(watts / 1000.0, "kW")), SURE, draws=10).climb
    assert climb.held is not None
    assert (climb.held.best < SURE.speed) is (climb.slower == 1.0)
    assert climb.slower == slower


@pytest.mark.parametrize(
    ("slope", "told"),
    [(0.062, "6.2 %"), (np.inf, "any"), (-0.01, "no grade at all"), (np.nan, "unknown")],
)
def test_a_grade_in_words(slope: float, told: str) -> None:
    """As a share of the way, or in words where there is none, any or nothing known."""
    assert tangent(slope) == told


@pytest.mark.parametrize(
    ("axles", "trailer", "told"),
    [(2, {}, True), (1, {}, False), (2, {"brakes": False}, False), (2, {"braked_axles": 1}, False)],
)
def test_axles_taken_as_braked_alike(axles: int, trailer: dict[str, Any], *, told: bool) -> None:
    """Said where there are several, brakes are not ruled out and nobody said how many have them."""
    rig = small(axles={"count": axles}, **trailer)
    assert any("braked alike" in line for line in unstated_lines(rig, ())) is told


def test_bars_that_hang_slack_at_rest_may_pull_on_the_road() -> None:
    """They stand among the springs as soon as they are fitted, whatever they pull at rest."""
    slack, bare = plain(bars={"arm": 0.75, "tip_rate": 40e3, "preset": -0.1}), plain()
    assert not np.any(moving(slack).balance.bar_moment)
    assert len(moving(slack).springs.rate) == len(moving(bare).springs.rate) + 1


def test_a_grade_is_told_in_three_sentences() -> None:
    """What it takes, what power holds the speed, and what the descent gives up."""
    found = first(fitted(plain(), driven="all", drive_force=exact(9e3, "N")), SURE, draws=10)
    told = list(grade_lines(found.climb, found.descent, SURE, "us", True))
    for line, start in zip(told, ("Up 6", "Holding 62 mph takes", "Down 6"), strict=True):
        assert line.startswith(start)


def test_a_fifth_wheel_is_answered() -> None:
    """A pin ahead of the rear axle is no special case."""
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "one-ton-dual-rear-wheel", "overhang": "-2 in"},
            "hitch": {"kind": "fifth-wheel"},
            "trailer": {"style": "fifth-wheel", "empty": {"weight": "10000 lb"}, "brakes": True},
        }
    )
    found = first(rig, settings_for(rig, grade=0.6))
    braking = found.stances[0]
    assert braking.push.low <= braking.push.value <= braking.push.high
    assert found.climb.power.value > found.descent.power.value > 0.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"friction": Setting(value=-0.1)}, "a friction between"),
        ({"grade": 1.2}, "a grade between"),
        ({"deceleration": 0.0}, "a slowing above 0"),
        ({"speed": 0.0}, "a speed above zero"),
        ({"length": -5.0}, "a descent above zero"),
        ({"reaction": -1.0}, "a reaction time"),
        ({"front_share": Setting(value=1.2)}, "a share between"),
        ({"trailer_share": Setting(value=1.01)}, "a share between"),
        ({"trailer_share": Setting(value=-0.01)}, "a share between"),
        ({"friction": Setting(value=GRIPPIEST + 0.01)}, "a friction between"),
        ({"grade": 1.01}, "a grade between"),
        ({"grade": -0.01}, "a grade between"),
        ({"deceleration": 15.1}, "a slowing above 0"),
        ({"speed": 100.0}, "a speed above zero"),
        ({"length": 0.0}, "a descent above zero"),
        ({"reaction": 10.1}, "a reaction time"),
    ],
)
def test_roads_that_are_none(changes: dict[str, Any], words: str) -> None:
    """What cannot be is one sentence."""
    with pytest.raises(ValueError, match=f"expected {words}"):
        road(small(), settings=settings_for(small(), **changes), draws=5)


def test_what_the_road_takes_unless_told_is_what_the_page_states() -> None:
    """docs/method.md, section 15: every number that nobody stated, with its half-width."""
    page = (Path(__file__).parents[2] / "docs" / "method.md").read_text(encoding="utf-8")
    page, asked = " ".join(page.split()), settings_for(small())
    numbers = {"μ": asked.friction, "c": asked.rolling}
    numbers |= {"η": asked.driveline, "φ_f": asked.front_share, "τ": asked.trailer_share}
    for name, one in numbers.items():
        found = re.search(rf"[ (]{name} (?:is )?\(?([\d.]+) ± ([\d.]+)", page)
        assert found is not None, name
        told = (float(found[1]), float(found[2]))
        assert (one.value, Z95 * one.sd) == pytest.approx(told), name
    assert f"reaction time of {asked.reaction} s" in page
    assert f"firm stop of {asked.deceleration} m/s²" in page
    assert f"a grade of {100 * asked.grade:g} %, {asked.length / 1000:g} km of it" in page
    assert f"{3.6 * asked.speed:g} km/h where the rig states no speed" in page


def test_the_ends_of_what_a_road_may_be_are_roads() -> None:
    """The most and the least that a sentence allows is taken."""
    most, none = Setting(value=1.0), Setting(value=0.0)
    require(
        settings_for(
            small(),
            friction=Setting(value=GRIPPIEST),
            grade=1.0,
            deceleration=15.0,
            speed=99.9,
            length=0.1,
            reaction=10.0,
            front_share=most,
            trailer_share=most,
        )
    )
    require(
        settings_for(
            small(),
            friction=none,
            grade=0.0,
            reaction=0.0,
            front_share=none,
            trailer_share=none,
        )
    )


@pytest.mark.parametrize(
    ("style", "size", "due"),
    [
        ("centre-axle-caravan", None, (2.35 * 2.6, 0.4)),
        # the deck 2.54 m wide and 1.07 m high, the vehicle 2.03 m and 1.96 m, the tractor 1.2 m
        # wide, its roof 0.71 + 2.3 m up
        (
            "flatbed-equipment",
            ["3 m", "1.2 m", "2.3 m"],
            (2.54 * 1.0668 + 2.032 * (1.9558 - 1.0668) + 1.2 * (3.0112 - 1.9558), 0.4),
        ),
        # a load without a size is as wide as the deck, 1.5 m high, and hides the vehicle
        ("flatbed-equipment", None, (2.54 * 2.2112, 0.5)),
    ],
)
def test_the_air_a_rig_meets_is_that_of_what_it_shows_from_ahead(
    style: str, size: list[str] | None, due: tuple[float, float]
) -> None:
    """Hand arithmetic: 0.5 times 0.85 of the rectangles seen from ahead, docs/method.md."""
    item = {"weight": "1200 kg", "place": "deck", **({"size": size} if size else {})}
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {"style": style, "empty": {"weight": "1200 kg"}},
            "places": {"deck": {"station": "4 m"}},
            "items": {"tractor": item},
        }
    )
    found = settings_for(rig).drag_area
    assert found.value == pytest.approx(0.5 * 0.85 * due[0], rel=1e-3)
    assert Z95 * found.sd / found.value == pytest.approx(due[1])


def test_a_stage_on_a_grade_is_asked_about_the_same_road() -> None:
    """How hard it stops and what its axles bear then is of the road asked about, not of the slope
    on which the stage stands; the coupling turns about the ball's centre, below where a tape
    measures."""
    level, tilted = (
        next(s for s in first(plain(height=1.1, grade=grade), SURE, draws=10).stances)
        for grade in (0.0, 0.15)
    )
    assert [axle.load_kg.best for axle in tilted.axles] == pytest.approx(
        [axle.load_kg.best for axle in level.axles], rel=1e-9
    )


@pytest.mark.parametrize(("count", "braked"), [(1, 1), (2, 1), (2, 2)])
def test_somebody_brakes_all_of_it(count: int, braked: int) -> None:
    """Per m/s2 of slowing the brakes hold the whole mass; of the trailer's four fifths of its own
    each braked axle holds an equal part, from the front, and the others nothing."""
    rig = plain(axles=(4.6, 5.6)[:count])
    own = rig.trailer.model_copy(update={"brakes": True, "braked_axles": braked})
    rig = rig.model_copy(update={"trailer": own})
    there, v = moving(rig), {"road.front_share": np.asarray(0.65)}
    split = brake_split(rig, v, there, np.asarray(0.8))
    assert sum(x.item() for x in split.values()) == pytest.approx(there.mass.item())
    part = 0.8 * there.trailer_mass.item() / braked
    each = [split[f"trailer {i}"].item() for i in range(1, count + 1)]
    assert each == pytest.approx([part] * braked + [0.0] * (count - braked))


def test_kernels_at_their_edges() -> None:
    """Unbraked axles never lock, nor does one that gains as fast as it is braked, or faster; none
    to hold. mu (N0 + n j) = share j and j (m - own) = mu V0 + fixed by hand. A drive force of the
    whole weight climbs anything; an axle that bears just nothing has lifted."""
    assert float(lock(5000.0, 10.0, 0.0, 0.7)) == np.inf
    assert float(lock(5000.0, 900.0, 500.0, 0.7)) == np.inf
    assert float(lock(5000.0, 1000.0, 500.0, 0.5)) == np.inf
    assert float(lock(5000.0, 100.0, 400.0, 0.7)) == pytest.approx(3500 / 330)
    assert float(limit(5000.0, 2000.0, 1000.0, 0.0, 0.0, 0.5)) == np.inf
    assert float(limit(5000.0, 100.0, 1000.0, 200.0, 100.0, 0.5)) == pytest.approx(2600 / 750)
    assert float(force_grade(1000 * GRAVITY, 1000.0, 0.0)) == np.inf
    assert float(traction_grade(5000.0, 1000 * GRAVITY / 0.5, 1000.0, 0.0, 0.5)) == np.inf
    assert float(chord(5000.0, 6000.0, 0.0)) == 0.0
    assert float(chord(5000.0, 6000.0, -4.0)) == -250.0
    assert distance(20.0, np.array([0.0, -1.0, 4.0]), 2.5).tolist() == [np.inf, np.inf, 100.0]
    one, none = np.ones((1, 1)), np.zeros((1, 1))
    for loads_there, lifted in (((one, one), False), ((one, none), True), ((none, one), True)):
        front, trailer = loads_there
        there = Footing(
            front=front, rear=one, trailer_axles=(trailer,), tongue=one, push=one, held=none
        )
        assert bool(there.lifts[0, 0]) is lifted
    assert float(limit(5000.0, 0.0, 1000.0, 0.0, 0.0, 0.5)) == pytest.approx(2.5)
    assert friction_used(np.array([10.0, 0.0]), np.array([0.0, 0.0])).tolist() == [np.inf, 0.0]


@pytest.mark.parametrize(
    ("trailer", "words"),
    [
        ({"brakes": False, "breakaway": True}, "no breakaway"),
        ({"brakes": False, "braked_axles": 1}, "no braked_axles"),
        ({"brakes": True, "braked_axles": 0}, "at least one braked axle"),
        ({"axles": {"count": 1}, "braked_axles": 2}, "at most 1"),
    ],
)
def test_brakes_that_contradict(trailer: dict[str, Any], words: str) -> None:
    """The rig file may not say both."""
    with pytest.raises(ValueError, match=words):
        small(None, **trailer)


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [(10, 15, "12 ft (10 to 15 ft)"), (12, 12, "12 ft"), (12, 15, "12 ft (12 to 15 ft)")],
)
def test_a_range_in_words(low: float, high: float, told: str) -> None:
    """With its 95 %, unless neither end differs from the middle as it is written."""
    found = Range(value=12.0, best=11.0, low=low, high=high)
    assert span(found, lambda x: f"{x:.0f} ft") == told
    assert span(replace(found, value=float("nan")), str) == "no balance"


@pytest.mark.parametrize(
    ("verdict", "told"),
    [
        ("unknown", "at “go”: brakes of its own (the plate)."),
        ("exceeded", "at “go”: brakes of its own."),
        ("within", "at “go”: nothing asked about fails."),
    ],
)
def test_what_is_due_is_told_where_it_is_missing(verdict: str, told: str) -> None:
    """A rule that cannot be judged says what it needs; one that is broken needs nothing."""
    rules = [
        SimpleNamespace(verdict=verdict, title="brakes of its own", due="the plate", note=False),
        SimpleNamespace(verdict=verdict, title="advice", due="", note=True),
    ]
    found = SimpleNamespace(verdict=verdict, title="go", rules=rules, findings=[], brakes=True)
    assert road_verdict(cast("StageRoad", found)).endswith(told)


def test_the_road_in_words_and_numbers() -> None:
    """A trailer of 3,000 kg slowed by 3.4 m/s2, with brakes for four fifths of it and without, and
    on 6 %; from 100 km/h in 2.5 s and v^2/2a, where there is grip; each chance its own."""
    rig = fitted(plain(), driven="rear", drive_force=exact(9e3, "N"))
    found = first(rig, SURE, draws=10)
    push = push_line(found.stances, "metric", True)
    assert "braking by 2,040 N with trailer brakes, 10,200 N without;" in push
    assert "downhill by 352 N with trailer brakes, 1,762 N without." in push
    assert "Uphill it pulls by 1,762 N and what its rolling" in push
    table = [" ".join(line.split()) for line in "\n".join(stops(found, "metric")).splitlines()]
    for starts, ends in (("level rolls", " 183 m"), ("down 6 % rolls", " no grip")):
        assert next(line for line in table if line.startswith(starts)).endswith(ends)
    moves = " ".join("\n".join(load_lines(found, "metric")).split())
    told = (one.axles[0].change_kg for one in found.stances)
    front = " ".join(f"{x.value:+.0f} ± {(x.high - x.low) / 2:.0f}" for x in told)
    assert f"front {front} rear" in moves
    up = " ".join(climb_lines(replace(found.climb, slips=0.2, short=0.03), 0.06, 20.0, "metric"))
    assert "20 % chance of spinning" in up
    assert "3.0 % chance of being too little" in up
    down = next(descent_lines(found.descent, 0.06, 1000.0, "metric", True))
    stop = moving(rig).mass.item() * SURE.speed**2 / 2e6
    assert f"One stop is {stop:.1f} MJ" in down


@pytest.mark.parametrize(("rear", "swings"), [(0.1, True), (0.01, False)])
def test_an_axle_that_may_swing_out_is_warned_of(rear: float, swings: bool) -> None:
    """Where a rear or trailer axle may lock first; a front axle that locks only slides."""
    one = first(plain(), SURE, draws=10).locking[1]
    told = lock_line(replace(one, chances={"front": 1 - rear, "rear": rear}))
    assert told.startswith("Without trailer brakes the front axle locks first")
    assert ("can swing out" in told) is swings


@pytest.mark.parametrize(
    ("country", "told"),
    [
        ("GB", ("in the United Kingdom", "United Kingdom and Ireland")),
        ("IE", ("in Europe", "United Kingdom and Ireland")),
        ("DE", ("in Germany", "in Europe")),
        ("FR", ("in Europe", "in Europe")),
        (None, ("in Europe", "in Europe")),
    ],
)
def test_a_rule_is_named_for_the_rig_s_own_country(
    country: str | None, told: tuple[str, str]
) -> None:
    """What was read of the United Kingdom is not said to be its law on a French rig's roads."""
    said = {"country": country} if country else {}
    facts = small("europe", brakes=True).model_dump(exclude_unset=True, by_alias=True)
    titles = [one.title for one in first(Rig.model_validate({**facts, **said})).rules]
    unbraked, breakaway = titles[-2:]
    assert unbraked.endswith(told[0])
    assert breakaway.endswith(told[1])
