"""How wrong a scale may be, against the texts that say so.

Sources: NIST Handbook 44 section 2.20, class III L (graduation; the maintenance tolerance of
Table 6 from memory); JCGM 100:2008 (GUM) section 4.3.7, a rectangular distribution; how-to pages on
weighing a tongue with a beam, one of which errs. No tolerance for portable wheel weighers was
found, so none is held here.
"""

from typing import Any

import numpy as np
import pytest
from tests import weighings
from tests.rigs import plain

from steelyard.quantity import POUND, Z95
from steelyard.weighing.instrument import Instrument, error_model
from steelyard.weighing.laid_ticket import lay

pytestmark = pytest.mark.seen

ROUNDED = {"pads": {"graduation": "20 lb", "repeatability": "0 lb", "slope": "0 %"}}


class TestPlatform:
    """A vehicle scale of class III L."""

    def test_graduation(self) -> None:
        """ME-1, ME-3: steps of 20 lb, rectangular: 20/sqrt(12) = 5.774 lb, repeatability apart."""
        ideal = Instrument.model_validate({"repeatability": "0 lb"})
        assert error_model("platform", "mass", ideal).own / POUND == pytest.approx(5.774, abs=0.001)
        own = error_model("platform", "mass", None).own / POUND
        assert own == pytest.approx(np.hypot(5.774, 10 / Z95), abs=0.001)

    @pytest.mark.parametrize(("load", "tolerance"), [(10000, 20), (20000, 40), (30000, 60)])
    def test_maintenance_tolerance_from_memory(self, load: float, tolerance: float) -> None:
        """ME-2: 1 d for every 500 d, so 20 lb at 10,000, 40 at 20,000, 60 at 30,000: 0.2 %."""
        assert Z95 * error_model("platform", "mass", None).slope * load == pytest.approx(tolerance)

    def test_a_coarse_scale_shows_itself(self) -> None:
        """Five weights on a scale of 50 kg steps, by hand 145 kg on the ball (2,680 - 2,535): each
        has half a step either way, sd 50/sqrt(12) = 14.4 kg (GUM 4.3.7); with the graduation said,
        of a scale by its name or of all pads, or one weight that is no multiple, it is as said, or
        the default."""
        rows = [("vehicle-alone", "front", 1250), ("vehicle-alone", "rear", 1050)]
        rows += [
            ("coupled", "front", 1200),
            ("coupled", "rear", 1250),
            ("coupled", "trailer", 2550),
        ]
        default = error_model("platform", "mass", None).own
        rounded = np.hypot(50 / 12**0.5, 10 * POUND / Z95)
        fine = {"pads": {"graduation": "10 kg"}}
        said = np.hypot(10 / 12**0.5, 10 * POUND / Z95)
        unnamed = {"platform": fine["pads"]}
        cases: tuple[tuple[int, dict[str, Any], float], ...] = (
            (0, {}, rounded),
            (1, {}, default),
            (0, fine, said),
            (0, unnamed, said),
        )
        for more, scales, own in cases:
            passes: dict[str, Any] = {}
            for arrangement, axle, kg in rows:
                one = passes.setdefault(arrangement, {"arrangement": arrangement, "readings": []})
                pad = weighings.platform(axle, weight=f"{kg + more * (axle == 'trailer')} kg")
                one["readings"].append({**pad, **({"scale": "pads"} if "pads" in scales else {})})
            laid = lay(plain(), weighings.ticket(passes, scales=scales))
            assert [one.sd for one in laid.readings] == pytest.approx([own] * 5)

    def test_three_tickets(self) -> None:
        """ME-3: a tongue weight from three tickets, a - (b - c), is known to 10.0 lb; two, 8.17."""
        rig = plain()
        pads = {"weight": "1000 kg", "scale": "pads", "kind": "platform"}
        laid = lay(
            rig,
            weighings.ticket(
                {
                    "whole": {"readings": [{**pads, "axles": ["all"]}]},
                    "coupled": {"readings": [{**pads, "axles": ["trailer"]}]},
                    "alone": {
                        "arrangement": "vehicle-alone",
                        "readings": [{**pads, "axles": ["all"]}],
                    },
                },
                scales=ROUNDED,
            ),
        )
        a, b, c = laid.readings
        v = laid.prior.at_mean()
        whole, axles, alone = (float(np.ravel(one.predict(v))[0]) for one in (a, b, c))
        assert whole - axles - alone == pytest.approx(3000 * (1 - 4.5 / 5.1), rel=0.03)
        spreads = np.array([one.sd for one in (a, b, c)]) / POUND
        assert np.hypot(*spreads[:2]) == pytest.approx(8.165, abs=0.001)
        assert np.sqrt(np.sum(spreads**2)) == pytest.approx(10.0, abs=0.001)

    def test_slope_is_shared(self) -> None:
        """One platform's error in proportion is one parameter, whatever pads and passes it saw."""
        laid = lay(weighings.rig("boat"), weighings.three_passes())
        slopes = [name for name in laid.prior.names if name.endswith(".slope")]
        assert sorted(slopes) == ["ticket.scales.hitch-scale.slope", "ticket.scales.platform.slope"]

    def test_spread_written_on_the_ticket(self) -> None:
        """A number written with ± stands for the whole of its own error: sd is spread/1.96."""
        reading = weighings.platform("front", weight="1000 kg +- 9.8 kg")
        laid = lay(weighings.rig("boat"), weighings.ticket({"a": {"readings": [reading]}}))
        assert laid.readings[0].sd == pytest.approx(5.0, rel=1e-4)
        assert laid.lines[0].slope is None

    def test_no_spread_at_all(self) -> None:
        """Two readings of one thing that claim no error whatever can still be reconciled."""
        sure = [weighings.platform("front", weight=f"{kg} kg +- 0 kg") for kg in (1000, 1001)]
        laid = lay(weighings.rig("boat"), weighings.ticket({"a": {"readings": sure}}))
        assert min(one.sd for one in laid.readings) > 0


class TestBeam:
    """A plank on a support and a bathroom scale, the tongue standing between (ME-4)."""

    @staticmethod
    def _times(beyond: str, **more: Any) -> tuple[float, float]:
        """Tongue weight over what the scale shows, and what it shows, kg."""
        plank = {
            "kind": "lever",
            "station": "0 m",
            "support_to_tongue": "1 ft",
            "tongue_to_scale": beyond,
            "weight": "100 kg",
            **more,
        }
        direct = {"kind": "tongue-scale", "station": "0 m", "weight": "300 kg"}
        alone = {"arrangement": "trailer-alone", "readings": [plank, direct]}
        laid = lay(plain(), weighings.ticket({"jack": alone}))
        shown, tongue = weighings.shown(laid, laid.prior.at_mean())[:, 0]
        return float(tongue / shown), float(shown)

    @pytest.mark.parametrize(("beyond", "times"), [("2 ft", 3), ("3 ft", 4)])
    def test_times(self, beyond: str, times: float) -> None:
        """1 ft from the support: reading times 3 with the scale 2 ft beyond, times 4 at 3 ft."""
        assert self._times(beyond)[0] == pytest.approx(times, rel=1e-12)

    def test_still_three_errs(self) -> None:
        """One page multiplies by three at 3 to 4 ft still: a third and two fifths too little."""
        assert self._times("3 ft")[0] != pytest.approx(3, rel=0.2)
        assert self._times("4 ft")[0] == pytest.approx(5, rel=1e-12)

    def test_plank(self) -> None:
        """What the scale shows before is added where it was not zeroed."""
        plain_shown, with_plank = self._times("2 ft")[1], self._times("2 ft", plank="6 kg")[1]
        assert with_plank - plain_shown == pytest.approx(6)
