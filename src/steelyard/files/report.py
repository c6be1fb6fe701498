"""An assessment as JSON for programs. The form is versioned and only grows."""

import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Final

from steelyard.assessment import Assessment, AxleLoad, Headroom, OnAxles, Spread, StageResult
from steelyard.fault import dotted
from steelyard.quantity import GRAVITY
from steelyard.ratings import Standing
from steelyard.statics import Ledger

if TYPE_CHECKING:
    from steelyard.weighing import Reconciled

REPORT: Final = 1
"""Version of this form."""

CAUTIONS: Final = (
    "The ratings on the vehicle's and trailer's own labels, and local law, come first.",
    "An estimate is not a weighing. When in doubt, weigh, and ask a licensed professional.",
)


def report(found: Assessment) -> dict[str, Any]:
    """The whole assessment as plain JSON values; loads in kg (force over standard gravity)."""
    from steelyard import __version__

    return {
        "report": REPORT,
        "steelyard": __version__,
        "rig": found.rig.name,
        "region": found.region,
        "verdict": found.verdict,
        "draws": found.draws,
        "seed": found.seed,
        "tight_from": found.tight,
        "stages": [_stage(stage) for stage in found.stages],
        "assumed": [
            {
                "name": row.name,
                "value_si": _number(row.value),
                "sd_si": _number(row.sd),
                "dimension": row.dimension,
                "source": row.source,
                "effect_on_share": _number(row.effect),
            }
            for row in found.assumed
        ],
        "questions": [
            {"path": dotted(one.path), "found": one.found, "due": one.due, "hint": one.hint}
            for one in found.questions
        ],
        "remarks": list(found.remarks),
        "not_listed": list(found.missing),
        "cautions": list(CAUTIONS),
    }


def _number(x: float) -> float | None:
    return float(x) + 0.0 if math.isfinite(x) else None


def _stage(stage: StageResult) -> dict[str, Any]:
    tongue = stage.tongue
    return {
        "key": stage.key,
        "title": stage.title,
        "verdict": stage.verdict,
        "trailer": _mass("", stage.trailer),
        "vehicle": _mass("", stage.vehicle),
        "tongue": {
            **_mass("", tongue.weight),
            "share": _number(tongue.share.value),
            "best_share": _number(tongue.share.best),
            "sd_share": _number(tongue.share.sd),
            "share_low": _number(tongue.share.low),
            "share_high": _number(tongue.share.high),
            **_mass("net", tongue.net),
            **_mass("ball_contact", tongue.contact),
            "bar_moment_nm": _number(tongue.bar_moment.value),
            "front_load_restoration": _number(tongue.restoration.value)
            if tongue.restoration
            else None,
        },
        "axles": [_axle(axle) for axle in stage.axles],
        "attitude": {
            "ball_height_m": _number(stage.attitude.ball_height.value),
            "front_drop_m": _number(stage.attitude.front_drop.value),
            "rear_drop_m": _number(stage.attitude.rear_drop.value),
            "trailer_pitch_rad": _number(stage.attitude.trailer_pitch.value),
            "vehicle_pitch_rad": _number(stage.attitude.vehicle_pitch.value),
        },
        "limits": [
            {**_limit(limit), "widened_by": list(stage.widened.get(limit.name, ()))}
            for limit in stage.limits
        ],
        "notes": [_limit(limit) for limit in stage.notes],
        "chance_any": _number(stage.chance),
        "deciding": stage.deciding.name if stage.deciding else None,
        "coupling_governed_by": stage.governing.name if stage.governing else None,
        "ledger": _ledger(stage.ledger),
        "ledger_as_driven": _ledger(stage.driven),
    }


def _mass(prefix: str, spread: Spread) -> dict[str, float | None]:
    """`weight_kg`, `best_kg` and `sd_kg`, or `net_kg`, `net_best_kg` and `net_sd_kg`."""
    more = f"{prefix}_" if prefix else ""
    return {
        f"{prefix or 'weight'}_kg": _number(spread.value / GRAVITY),
        f"{more}best_kg": _number(spread.best / GRAVITY),
        f"{more}sd_kg": _number(spread.sd / GRAVITY),
    }


def _axle(axle: AxleLoad) -> dict[str, Any]:
    return {
        "name": axle.name,
        **_mass("", axle.load),
        "left_kg": _number(axle.left.value / GRAVITY),
        "right_kg": _number(axle.right.value / GRAVITY),
        "alone_kg": None if axle.alone is None else _number(axle.alone / GRAVITY),
    }


_UNIT: Final = {
    "weight": ("kg", GRAVITY),
    "force": ("n", 1.0),
    "share": ("share", 1.0),
    "ratio": ("ratio", 1.0),
    "length": ("m", 1.0),
    "speed": ("mps", 1.0),
    "pressure": ("pa", 1.0),
    "fitted": ("fitted", 1.0),
}


def _limit(limit: Standing) -> dict[str, Any]:
    unit, size = _UNIT[limit.measure]
    known = limit.verdict != "unknown"
    return {
        "name": limit.name,
        "title": limit.title,
        "standing": limit.verdict,
        f"rating_{unit}": _number(limit.rating / size) if known else None,
        f"value_{unit}": _number(limit.value / size),
        f"best_{unit}": _number(limit.best / size),
        f"sd_{unit}": _number(limit.sd / size),
        f"margin_{unit}": _number(limit.margin / size) if known else None,
        "chance_exceeded": _number(limit.chance) if known else None,
        "side": limit.side,
        "source": limit.source,
        "look_up": None if known else limit.due,
    }


def _ledger(ledger: Ledger) -> list[dict[str, Any]]:
    return [
        {
            "name": entry.name,
            "carried_by": entry.body or None,
            "place": entry.place,
            "weight_kg": _number(entry.kg),
            "station_m": _number(entry.station),
            "lever": _number(entry.lever),
            "tongue_kg": _number(entry.force / GRAVITY),
        }
        for entry in ledger.entries
    ]


def headroom_rows(rows: tuple[Headroom, ...]) -> list[dict[str, Any]]:
    """What each place, seat and tank can still take, kg, and what one more kg there does."""
    return [
        {
            "name": row.spot.name,
            "kind": row.spot.kind,
            "takes_kg": row.kg,
            "stopped_by": row.stopped_by,
            "likely_takes_kg": row.likely_kg,
            "likely_stopped_by": row.likely_stopped_by,
            "per_kg": {
                "tongue": row.effect.tongue,
                "front": row.effect.front,
                "rear": row.effect.rear,
                "trailer_axles": list(row.effect.trailer_axles),
            },
        }
        for row in rows
    ]


def axle_rows(rows: tuple[OnAxles, ...]) -> list[dict[str, Any]]:
    """What every weight puts on the axles as driven, kg."""
    return [
        {
            "name": row.name,
            "carried_by": row.body,
            "weight_kg": row.kg,
            "front_kg": _number(row.front / GRAVITY),
            "rear_kg": _number(row.rear / GRAVITY),
            "trailer_axles_kg": row.trailer / GRAVITY,
        }
        for row in rows
    ]


def weighing_report(found: "Reconciled", cannot: tuple[str, ...]) -> dict[str, Any]:
    """A reconciled ticket: agreement, every reading, the suspect, what stays open. SI values."""
    from steelyard.weighing import steps

    return {
        "weighing": REPORT,
        "agrees": found.agrees,
        "chi_square": found.chi_square,
        "degrees": found.degrees,
        "chance": found.chance,
        "suspect": found.suspect.name if found.suspect else None,
        "unit_hint": found.unit_hint,
        "steps": [asdict(one) for one in steps(found.weighed)],
        "left_open": list(cannot),
        "readings": [
            {
                "name": one.name,
                "kind": one.kind,
                "dimension": one.dimension,
                "read_si": one.value,
                "own_sd_si": one.own_sd,
                "expected_si": one.predicted,
                "sd_si": one.sd,
                "standardised": one.standardised,
                "error_si": one.error,
                "error_sd_si": one.error_sd,
                "detectable_si": one.detectable,
                "alike": list(one.alike),
            }
            for one in found.readings
        ],
    }
