"""Seeded weighings of a seeded rig, and recordings of its swing: near what it might read."""

import math
from random import Random
from typing import Any, Final

from tests.differential.rigs import TRAILERS, VEHICLES

Table = dict[str, Any]
PADS: Final = ("front", "rear", "trailer")


def ticket(number: int, rig: Table) -> Table:
    """An undated ticket for a rig: one to four passes; one in ten has a gross error in it."""
    dice = Random(f"ticket {number}")
    read = _Readings(dice, rig)
    stages, bars = list(rig["stages"]), "bars" in rig["hitch"]
    found: Table = {}
    for name in ("on", "off") if bars else ("coupled",):
        found[name] = {"readings": read.coupled()} | ({"bars": name} if bars else {})
    if dice.random() < 0.6:
        alone = read.pads(("front", "rear"), read.vehicle)
        alone += [{"kind": "fender-height", "at": "rear", "height": "0.95 m"}] * (number % 2)
        found["alone"] = {"arrangement": "vehicle-alone", "readings": alone}
    if dice.random() < 0.4:
        found["jack"] = {"arrangement": "trailer-alone", "readings": read.under_tongue()}
    for one in found.values():
        if stages and dice.random() < 0.7:
            one["stage"] = dice.choice(stages)
    scales = {"pads": {"graduation": "10 kg"}, "own": {"slope": "1 %", "repeatability": "5 kg"}}
    return {"ticket": 1, "scales": scales, "passes": found} | _wrong(dice)


def _wrong(dice: Random) -> Table:
    """Now and then a stage that is none, or a pass without a reading."""
    odd: tuple[Table, ...] = (
        {"passes": {}},
        {"passes": {"odd": {"stage": "never", "readings": [{"kind": "platform"}]}}},
        {"passes": {"odd": {"readings": []}}},
        {"scales": {}},
        {"tickett": 1},
    )
    return dice.choice(odd) if dice.random() < 0.12 else {}


class _Readings:
    """What scales and tapes show of one rig, kg."""

    def __init__(self, dice: Random, rig: Table) -> None:
        self._dice, self._gross = dice, dice.random() < 0.1
        front, rear = VEHICLES[rig["vehicle"]["class"]][7:9]
        empty, gvwr, _, _, _, share = TRAILERS[rig["trailer"]["style"]]
        whole = dice.uniform(empty, gvwr)
        self.tongue = whole * share
        self.vehicle = {"front": front + 60.0, "rear": rear + 60.0}
        self._whole = {
            "front": front + 60.0 - 0.35 * self.tongue,
            "rear": rear + 60.0 + 1.35 * self.tongue,
            "trailer": whole - self.tongue,
        }
        self._tanks = list(rig["trailer"].get("tanks", {}))

    def pads(self, axles: tuple[str, ...], loads: dict[str, float]) -> list[Table]:
        """Each of these axles on a pad of its own."""
        return [
            {"kind": "platform", "axles": [axle], "weight": self._kg(loads[axle]), "scale": "pads"}
            for axle in axles
        ]

    def coupled(self) -> list[Table]:
        """Coupled: pads, wheels, one platform, the hitch, tapes and gauges."""
        found = self.pads(PADS, self._whole) if self._dice.random() < 0.7 else []
        kg, total = self._kg, sum(self._whole.values())
        more: list[Table] = [
            {"kind": "platform", "axles": ["all"], "weight": kg(total)},
            {"kind": "platform", "axles": ["front", "rear"], "weight": kg(total * 0.5)},
            {
                "kind": "wheel",
                "axle": "rear",
                "side": "left",
                "weight": kg(self._whole["rear"] / 2),
            },
            {"kind": "hitch-scale", "cell": "shank", "weight": kg(self.tongue), "scale": "own"},
            {"kind": "hitch-scale", "cell": "ball", "weight": kg(self.tongue)},
            {"kind": "fender-height", "at": "front", "height": "0.94 m"},
            {"kind": "ball-height", "height": "0.47 m"},
            *({"kind": "tank-gauge", "tank": tank, "level": "66 %"} for tank in self._tanks),
        ]
        return found + self._dice.sample(more, self._dice.randint(0 if found else 1, 3))

    def under_tongue(self) -> list[Table]:
        """Uncoupled: a scale under the tongue, or a plank and a bathroom scale."""
        scale = {"kind": "tongue-scale", "station": "0.4 m", "weight": self._kg(self.tongue)}
        plank = {
            "kind": "lever",
            "station": "0 m",
            "weight": self._kg(self.tongue / 3),
            "support_to_tongue": "0.5 m",
            "tongue_to_scale": "1 m",
        }
        return [self._dice.choice((scale, plank))]

    def _kg(self, kg: float) -> str:
        wild = 10.0 if self._gross and self._dice.random() < 0.2 else 1.0
        return f"{10 * round(kg * wild * self._dice.gauss(1.0, 0.02) / 10) or 10} kg"


def sheet(number: int, rig: Table) -> str:
    """The same kind of thing as lines of CSV."""
    read = _Readings(Random(f"sheet {number}"), rig)
    rows = ["pass,arrangement,front,rear,trailer"]
    how = "bars on" if "bars" in rig["hitch"] else "coupled"
    for name, words in (("one", how), ("two", "vehicle alone")):
        pads = read.pads(PADS if name == "one" else PADS[:2], read._whole)
        rows.append(",".join((name, words, *(pad["weight"] for pad in pads))))
    return "\n".join(rows) + "\n"


def recording(number: int) -> str:
    """Yaw rate of three swings that die out, or grow, at two speeds."""
    dice = Random(f"recording {number}")
    damping, rows = dice.uniform(-0.02, 0.25), ["time (s),yaw rate (deg/s),speed (km/h)"]
    for step in range(1800):
        t = step / 50.0
        since, omega = t % 12.0, 2.0 * math.pi * 0.6
        swing = 6.0 * math.exp(-damping * omega * since) * math.sin(omega * since)
        yaw = (swing if since > 1.0 else 0.0) + dice.gauss(0.0, 0.05)
        rows.append(f"{t:.2f},{yaw:.4f},{80.0 + 10.0 * (t > 18.0) + dice.gauss(0.0, 0.2):.2f}")
    return "\n".join(rows) + "\n"
