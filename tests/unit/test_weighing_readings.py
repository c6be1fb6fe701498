"""What each kind of reading should show, by hand, on rigs of exact numbers."""

from types import SimpleNamespace
from typing import Any, ClassVar, cast

import numpy as np
import pytest
from tests import weighings
from tests.rigs import RADIUS, exact, plain
from tests.weighings import fender, hitch_scale, platform, ticket

from steelyard.assessment import Assessment
from steelyard.estimate import Array
from steelyard.quantity import GRAVITY, POUND, parse
from steelyard.rig import Rig
from steelyard.rig.hitch import Jack
from steelyard.rig.trailer import OneAxle
from steelyard.weighing.expect import expected
from steelyard.weighing.instrument import friction
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.reconcile import Reconciled
from steelyard.weighing.spans import spanning

FOOT = 0.3048
POUND_FORCE = POUND * GRAVITY
L, H, S_A = 3.7, 1.45, 5.1
"""m, of `plain`: wheelbase, ball behind the rear axle, ball to axle."""
TONGUE = 3000 * (1 - 4.5 / S_A)
"""kg, of `plain`."""
REAR_RATE = 85e3
BARS = {"arm": 0.75, "tip_rate": 40e3, "preset": 0.12}


def values(laid: Weighed, **changes: float) -> dict[str, Array]:
    """Best values with an empty seat, hubs at the height of the ball; `a__b` changes a.b."""
    found = dict(laid.prior.at_mean())
    found["trailer.hub_height"] = found["hitch.ball_height"] - RADIUS
    found["people.driver.weight"] = np.asarray(0.0)
    found.update({name.replace("__", "."): np.asarray(x) for name, x in changes.items()})
    return found


def shown(rig: Rig, passes: dict[str, Any], **changes: float) -> list[float]:
    """What every reading of the passes should show, SI."""
    full = {name: {"stage": "now", **one} for name, one in passes.items()}
    laid = lay(rig, ticket(full))
    return [float(x) for x in weighings.shown(laid, values(laid, **changes))[:, 0]]


def jack(station: str) -> dict[str, Any]:
    """A scale under the tongue."""
    return {"kind": "tongue-scale", "station": station, "weight": "300 kg"}


def wheel(axle: str, side: str) -> dict[str, Any]:
    """One side of one axle."""
    return {"kind": "wheel", "axle": axle, "side": side, "weight": "500 kg"}


class TestHitchScale:
    """Beer & Johnston 6.96 (ST-3), bars of chain arm 1.7 ft; pounds."""

    BARS: ClassVar = {"arm": 1.7 * FOOT, "tip_rate": 60e3, "preset": 0.0}
    MOMENT = 30 * 64.8649 * POUND_FORCE * FOOT

    def _pickup(self) -> Rig:
        return plain(
            vehicle=2900 * POUND,
            vehicle_cg=4 * FOOT,
            wheelbase=9 * FOOT,
            overhang=3 * FOOT,
            weight=2400 * POUND,
            cg=9 * FOOT,
            axles=(11 * FOOT,),
            bars=self.BARS,
        )

    def test_bars_off(self) -> None:
        """Either cell reads the tongue weight, 436 lb."""
        cells = [hitch_scale("shank"), hitch_scale("ball"), hitch_scale("receiver")]
        found = shown(self._pickup(), {"off": {"bars": "off", "readings": cells}})
        assert np.array(found) / POUND == pytest.approx(4800 / 11, abs=0.01)

    def test_bars_on(self) -> None:
        """A cell in shank or receiver reads 259 lb, one at the ball 1,404, and neither 436."""
        cells = [hitch_scale("shank"), hitch_scale("receiver"), hitch_scale("ball")]
        passes = ticket({"on": {"bars": "on", "stage": "now", "readings": cells}})
        laid = lay(self._pickup(), passes)

        def moment(preset: float) -> float:
            pose = laid.poses.at("on", values(laid, hitch__bars__preset=preset))
            return float(np.ravel(pose.laid.driven.bar_moment)[0])

        low, high = moment(0.2), moment(0.3)
        preset = 0.2 + 0.1 * (self.MOMENT - low) / (high - low)
        found = weighings.shown(laid, values(laid, hitch__bars__preset=preset))[:, 0] / POUND
        assert found == pytest.approx([259, 259, 1404], abs=0.5)


class TestTongue:
    """The uncoupled trailer on a scale."""

    def test_under_the_coupler(self) -> None:
        """Under the coupler a scale reads the tongue weight, W (1 - s/s_a)."""
        found = shown(plain(), {"a": {"arrangement": "trailer-alone", "readings": [jack("0 m")]}})
        assert found == pytest.approx([TONGUE])

    def test_jack_reads_more(self) -> None:
        """At 0.45 m behind the ball it reads T s_a/(s_a - s_j): 9.7 % high here."""
        at = {"arrangement": "trailer-alone", "readings": [jack("0.45 m")]}
        (found,) = shown(plain(), {"a": at})
        assert found == pytest.approx(TONGUE * S_A / (S_A - 0.45))
        assert found / TONGUE == pytest.approx(1.10, abs=0.01)

    def test_axles_carry_the_rest(self) -> None:
        """Axles of the trailer on its jack carry its weight less what the jack does; all of it on
        one pad is its weight."""
        alone = {"arrangement": "trailer-alone", "support_station": "0.45 m"}
        readings = [jack("0.45 m"), platform("trailer"), platform("all")]
        held, axles, whole = shown(plain(), {"a": {**alone, "readings": readings}})
        assert held + axles == pytest.approx(3000)
        assert whole == pytest.approx(3000)

    def test_axles_on_a_scale_carry_the_rest(self) -> None:
        """With a tongue scale that says where it stands, axles and scale together are the trailer,
        wherever that is; so they are where the rig file says where its jack stands."""
        for station in ("0 m", "0.6 m"):
            alone = {
                "arrangement": "trailer-alone",
                "readings": [jack(station), platform("trailer")],
            }
            assert sum(shown(plain(), {"a": alone})) == pytest.approx(3000)
        rig = plain()
        hitch = rig.hitch.model_copy(update={"jack": Jack.model_validate({"station": "0.6 m"})})
        on_jack = {"arrangement": "trailer-alone", "readings": [platform("trailer")]}
        (axles,) = shown(rig.model_copy(update={"hitch": hitch}), {"a": on_jack})
        assert 3000 - axles == pytest.approx(TONGUE * S_A / (S_A - 0.6))

    def test_front_wheels_that_lift_without_bars(self) -> None:
        """4,500 kg on the ball lift a front axle of 1,476 kg, bars off: moments about the rear axle
        leave it -288 kg."""
        rig = plain(weight=9000.0, cg=S_A / 2, bars={**BARS, "tip_rate": 4e5})
        (front,) = shown(rig, {"a": {"bars": "off", "readings": [platform("front")]}})
        assert front == pytest.approx(2600 * (1 - 1.6 / L) - 4500 * H / L)

    def test_an_equaliser_keeps_its_shares_on_the_jack(self) -> None:
        """Of two axles on one equaliser the first carries its 60 %, uncoupled as coupled."""
        rig = plain(axles=(4.6, 5.6))
        own = rig.trailer.axles.model_copy(
            update={"first": OneAxle.model_validate({"share": "60 %"})}
        )
        trailer = rig.trailer.model_copy(update={"axles": own})
        alone = {"arrangement": "trailer-alone", "support_station": "0.45 m"}
        readings = [platform("trailer-1"), platform("trailer-2")]
        first, second = shown(
            rig.model_copy(update={"trailer": trailer}), {"a": {**alone, "readings": readings}}
        )
        assert first / (first + second) == pytest.approx(0.6)

    def test_a_jack_nobody_placed_has_a_spread(self) -> None:
        """Where nobody says where the tongue stood, that is open: a tenth of a metre on 3,000 kg of
        trailer, of which T s_a/(s_a - s_j) stands on it, is dT = T s_a/(s_a - s_j)^2 ds."""
        on_jack = {"arrangement": "trailer-alone", "readings": [platform("trailer")]}
        laid = lay(plain(), ticket({"a": {**on_jack, "stage": "now"}}))
        (foretold,) = expected(laid)
        said = {**on_jack, "support_station": "0.45 m", "stage": "now"}
        (known,) = expected(lay(plain(), ticket({"a": said})))
        due = TONGUE * S_A / (S_A - 0.45) ** 2 * 0.1
        assert (foretold.sd**2 - known.sd**2) ** 0.5 == pytest.approx(due, rel=0.01)

    def test_a_jack_said_in_one_pass_is_open_in_the_other(self) -> None:
        """What one pass says of where its tongue stood is no word on another."""
        on_jack = {
            "arrangement": "trailer-alone",
            "readings": [platform("trailer")],
            "stage": "now",
        }
        said = {**on_jack, "support_station": "0.45 m"}
        first, second = expected(lay(plain(), ticket({"a": said, "b": on_jack})))
        due = TONGUE * S_A / (S_A - 0.45) ** 2 * 0.1
        assert (second.sd**2 - first.sd**2) ** 0.5 == pytest.approx(due, rel=0.01)

    def test_coupler_low(self) -> None:
        """Set down nose-low, a trailer whose weight is high up presses more on its tongue.

        W [(z_cg - z_b) + s (z_b - z_hub)/s_a]/s_a per radian, hubs at the level coupler's height.
        """
        low = {
            "coupler_height": f"{0.45 + RADIUS} m",
            "arrangement": "trailer-alone",
            "readings": [jack("0 m")],
        }
        (found,) = shown(plain(height=1.05), {"a": low})
        assert found - TONGUE == pytest.approx(0.1 / S_A * 3000 * 0.5 / S_A, rel=1e-6)


class TestPads:
    """Platforms and wheel pads."""

    PADS: ClassVar = [platform(name) for name in ("front", "rear", "trailer", "all")]

    def test_levers(self) -> None:
        """Front F0 - T h/L, rear R0 + T (1 + h/L), axles W - T, all of it their sum."""
        front0, rear0 = 2600 * (1 - 1.6 / L), 2600 * 1.6 / L
        found = shown(plain(), {"off": {"readings": self.PADS}})
        expected = [front0 - TONGUE * H / L, rear0 + TONGUE * (1 + H / L), 3000 - TONGUE, 5600]
        assert found == pytest.approx(expected, rel=1e-9)

    def test_a_part_off_the_hitch_is_off_its_axles(self) -> None:
        """A ball mount of 20 kg, 1.2 m behind the rear axle, taken off: by moments about either
        axle the rear loses 20 (L + 1.2)/L and the front gains 20 * 1.2/L."""
        mount = {"ball_mount": {"weight": exact(20, "kg"), "station": exact(L + 1.2, "m")}}
        data = plain().model_dump(by_alias=True, exclude_none=True)
        data["hitch"].update(mount)
        rig = Rig.model_validate(data)
        alone = {"arrangement": "vehicle-alone", "readings": self.PADS[:2]}
        front, rear = shown(rig, {"a": alone})
        lighter, bare = shown(rig, {"a": {**alone, "off_parts": ["ball mount"]}})
        assert lighter - front == pytest.approx(20 * 1.2 / L)
        assert rear - bare == pytest.approx(20 * (L + 1.2) / L)

    def test_vehicle_alone(self) -> None:
        """Alone the vehicle's axles carry the vehicle, and all axles are its two."""
        alone = {"arrangement": "vehicle-alone", "readings": [*self.PADS[:2], self.PADS[3]]}
        found = shown(plain(), {"a": alone})
        assert found == pytest.approx([2600 * (1 - 1.6 / L), 2600 * 1.6 / L, 2600])

    @pytest.mark.parametrize("bars", ["off", "on"])
    def test_one_pad_is_the_sum(self, bars: str) -> None:
        """Any axles on one pad read their sum; bars move load but make none."""
        readings = [*self.PADS, platform("rear", "trailer")]
        found = shown(plain(bars=BARS), {"a": {"bars": bars, "readings": readings}})
        assert sum(found[:3]) == pytest.approx(found[3])
        assert found[3] == pytest.approx(5600)
        assert found[1] + found[2] == pytest.approx(found[4])

    def test_bars_move_load(self) -> None:
        """Bars on: front and trailer axles gain, the rear loses what both gain."""
        pads = self.PADS[:3]
        passes = {name: {"bars": name, "readings": pads} for name in ("off", "on")}
        off, on = np.array(shown(plain(bars=BARS), passes)).reshape(2, 3)
        front, rear, axles = on - off
        assert front > 0
        assert axles > 0
        assert rear == pytest.approx(-front - axles)
        assert front * L == pytest.approx(axles * (S_A + H))  # B (1 + h/s_a)/L and B/s_a

    @pytest.mark.parametrize("axle", ["front", "rear", "trailer-1", "trailer-2"])
    def test_left_and_right(self, axle: str) -> None:
        """Both sides of an axle make the axle, and a load on the left leans left."""
        rig = plain(axles=(4.6, 5.6), items={"safe": ("trailer", 200.0, 4.5)})
        rig = rig.model_copy(
            update={
                "places": {
                    "safe": rig.places["safe"].model_copy(
                        update={"offset": parse("0.5 m", "length")}
                    )
                }
            }
        )
        readings = [wheel(axle, "left"), wheel(axle, "right"), platform(axle)]
        left, right, both = shown(rig, {"a": {"readings": readings}})
        assert left + right == pytest.approx(both)
        assert (left > right + 1) == axle.startswith("trailer")

    def test_axles_of_a_tandem(self) -> None:
        """Each trailer axle on its own pad, and both on one."""
        pads = [platform("trailer-1"), platform("trailer-2"), platform("trailer")]
        first, second, both = shown(plain(axles=(4.6, 5.6)), {"a": {"readings": pads}})
        assert first + second == pytest.approx(both)
        assert first == pytest.approx(second)


class TestTape:
    """Heights by tape measure."""

    KG = 200.0
    DROP = KG * GRAVITY / REAR_RATE
    """m by which the rear axle sinks under 200 kg right above it: 23 mm."""

    def _passes(self, reading: dict[str, Any]) -> dict[str, Any]:
        added = {"people": {"weight": exact(self.KG, "kg"), "station": exact(L, "m")}}
        alone = {"arrangement": "vehicle-alone", "readings": [reading]}
        return {"before": alone, "after": {**alone, "added": added}}

    def test_rear_fender(self) -> None:
        """200 kg right above the rear axle lower the rear fender by m g/k: 23.1 mm."""
        before, after = shown(plain(), self._passes(fender("rear")))
        assert before - after == pytest.approx(self.DROP, rel=1e-4)
        assert before - after == pytest.approx(0.0231, abs=1e-4)

    def test_front_fender(self) -> None:
        """And leave the front where it was."""
        before, after = shown(plain(), self._passes(fender("front")))
        assert before - after == pytest.approx(0, abs=1e-9)

    def test_ball(self) -> None:
        """The ball sinks by the drop times 1 + h/L."""
        before, after = shown(plain(), self._passes({"kind": "ball-height", "height": "0.5 m"}))
        assert before - after == pytest.approx(self.DROP * (1 + H / L), rel=1e-4)

    def test_how_much_friction_holds_back(self) -> None:
        """5 to 15 % of a change in 95 of 100 (from memory): a tenth, one sd of 5 % over 1.96."""
        assert friction() == pytest.approx((0.10, 0.05 / 1.96), rel=1e-4)

    @pytest.mark.parametrize(("settled", "sign"), [("loading", -1), ("unloading", 1)])
    def test_friction_lags(self, settled: str, sign: int) -> None:
        """Not bounced, a spring lags by the friction's share of its change, up or down."""
        reading = {**fender("rear"), "settled": settled}
        passes = self._passes(reading)
        before, after = shown(plain(), passes, ticket__friction=0.08)
        assert before - after == pytest.approx(self.DROP * (1 + sign * 0.08), rel=1e-4)

    def test_coupling_lowers_the_rear(self) -> None:
        """Coupling lowers the rear by T (1 + h/L)/k and raises the front by T h/(L k)."""
        both = [fender("front"), fender("rear")]
        passes = {
            "alone": {"arrangement": "vehicle-alone", "readings": both},
            "off": {"readings": both},
        }
        front, rear, front_off, rear_off = shown(plain(), passes)
        force = TONGUE * GRAVITY
        assert rear - rear_off == pytest.approx(force * (1 + H / L) / REAR_RATE, rel=1e-4)
        assert front_off - front == pytest.approx(force * H / L / 75e3, rel=1e-4)


class TestTankGauge:
    """A gauge in its steps."""

    @pytest.mark.parametrize("steps", [1, 3, 10])
    def test_steps(self, steps: int) -> None:
        """Between two steps it cannot tell: sd is one step over sqrt(12)."""
        laid = lay(weighings.rig("camper"), _gauge(steps=steps))
        assert laid.readings[0].sd == pytest.approx(1 / steps / 12**0.5)

    def test_level(self) -> None:
        """It shows the level of its own trailer tank, though the vehicle has one of that name."""
        rig = dict(weighings.CAMPER)
        rig["vehicle"] = {
            **rig["vehicle"],
            "tanks": {"fresh": {"content": "fresh", "capacity": "80 l", "station": "4 m"}},
        }
        laid = lay(Rig.model_validate(rig), _gauge(tanks={"fresh": "30 %"}))
        assert weighings.shown(laid, laid.prior.at_mean())[0, 0] == pytest.approx(0.3, abs=1e-9)


def _gauge(tanks: dict[str, str] | None = None, **more: Any) -> Any:
    reading = {"kind": "tank-gauge", "tank": "fresh", "level": "67 %", **more}
    return ticket({"a": {"tanks": tanks or {}, "readings": [reading]}})


ON, OFF, APART = {"bars": "on"}, {"bars": "off"}, {"arrangement": "trailer-alone"}
AXLES = (
    *("vehicle.front.gawr", "vehicle.rear.gawr", "vehicle.gvwr", "vehicle.gcwr", "trailer.gtm"),
    *("trailer.axles.first.gawr", "trailer.axles.second.gawr"),
)
TONGUES = "hitch.receiver.rating_tongue"


@pytest.mark.parametrize(
    ("state", "read", "bound"),
    [
        (ON, platform("front"), "vehicle.front.gawr"),
        (ON, platform("rear"), "vehicle.rear.gawr"),
        (ON, platform("rear", "front"), "vehicle.gvwr"),
        (ON, platform("trailer"), "trailer.gtm"),
        (ON, platform("front", "trailer", "rear"), "vehicle.gcwr"),
        (ON, platform("all"), "vehicle.gcwr"),
        (ON, platform("trailer-1"), "trailer.axles.first.gawr"),
        (ON, platform("trailer-2"), "trailer.axles.second.gawr"),
        (ON, platform("front", "trailer"), None),
        (ON, hitch_scale(), None),
        (OFF, platform("front"), None),
        (OFF, hitch_scale(), TONGUES),
        ({"arrangement": "vehicle-alone"}, platform("front", "rear"), None),
        (APART, jack("0 m"), TONGUES),
        (APART, jack("0.3 m"), None),
    ],
)
def test_a_reading_spans_the_rating_of_just_what_it_weighed(
    state: dict[str, Any], read: dict[str, Any], bound: str | None
) -> None:
    """An axle's of that axle as driven, GVWR of both, GCWR of all, the tongue's with no bar that
    takes of it and nothing behind the ball; within 1.96 sd either way, and of what is known."""
    laid = weighings.lay_of("camper", {"a": {**state, "readings": [read]}})
    for off, told in ((-1.97, False), (-1.95, True), (1.95, True), (1.97, False)):
        for verdict in ("within", "unknown"):
            limits = [
                SimpleNamespace(name=name, kind=kind, verdict=verdict, rating=1000.0)
                for name, kind in (*((name, "axle") for name in AXLES), (TONGUES, "part's tongue"))
            ]
            judged = SimpleNamespace(value=1000.0 + 10.0 * off, own_sd=10.0)
            found = SimpleNamespace(weighed=laid, readings=(judged,))
            after = SimpleNamespace(stages=[SimpleNamespace(key="leave", limits=limits)])
            spans = spanning(cast("Reconciled", found), cast("Assessment", after))
            due = [bound] if told and bound and verdict == "within" else []
            assert [one.standing.name for one in spans] == due


@pytest.mark.parametrize(
    ("said", "kg"),
    [
        ({"vehicle_tanks": {"fuel": "empty"}}, 74.0),
        ({"tanks": {"fresh": "empty"}}, 99.8),
        ({"people": ["ada"]}, 60.0),
        ({"items": ["box"]}, 30.0),
        ({"without": ["box"]}, 50.0),
        ({"stage": "home"}, 50.0),
    ],
)
def test_what_one_pass_says_of_its_load_is_not_the_other_s(said: dict[str, Any], kg: float) -> None:
    """The whole rig as it left, and so much lighter by what a second pass says: 100 L of petrol at
    0.74 kg/L, of water at 0.998, 60 kg of ben, 30 of the bag, 50 of the box left at home."""
    full = {"tanks": {"fresh": "full"}, "vehicle_tanks": {"fuel": "full"}}
    fresh = {"content": "fresh", "capacity": "100 L", "station": "4 m"}
    rig = Rig.model_validate(
        {
            "everything_listed": True,
            "vehicle": {"class": "half-ton-crew-cab", "tanks": {"fuel": {"capacity": "100 L"}}},
            "trailer": {
                "style": "rear-living",
                "empty": {"weight": "2500 kg"},
                "tanks": {"fresh": fresh},
            },
            "people": {
                "ada": {"seat": "driver"},
                "ben": {"seat": "passenger", "weight": "60 kg"},
            },
            "places": {"front": {"station": "2 m"}},
            "items": {
                "box": {"weight": "50 kg", "place": "front"},
                "bag": {"weight": "30 kg", "place": "front"},
            },
            "stages": {"go": full, "home": {**full, "without": ["box"]}},
        }
    )
    first = {"stage": "go", "readings": [platform("all")]}
    laid = lay(rig, ticket({"first": first, "second": {**first, **said}}))
    found = weighings.shown(laid, laid.prior.at_mean())[:, 0]
    assert found[0] - found[1] == pytest.approx(kg, abs=0.1)
