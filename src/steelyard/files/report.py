"""An assessment as JSON for programs. The form is versioned and only grows."""

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from steelyard import __version__
from steelyard.assessment import Assessment, Headroom, Spread, StageResult
from steelyard.fault import dotted, sentence
from steelyard.files.plain import plain
from steelyard.ratings import LimitStatus
from steelyard.statics.ledger import Ledger

if TYPE_CHECKING:
    from steelyard.weighing.agreement import Agreement
    from steelyard.weighing.reconcile import Reconciled

REPORT: Final = 1
"""Version of this form."""

CAUTIONS: Final = (
    "The ratings on the vehicle's and trailer's own labels, and local law, come first.",
    "An estimate is not a weighing. When in doubt, weigh, and ask a licensed professional.",
)


def report(found: Assessment) -> dict[str, Any]:
    """The whole assessment as plain JSON values; loads in kg, as the objects have them."""
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
        "assumed": plain(found.assumed),
        "questions": [
            {"path": dotted(one.path), "found": one.found, "due": one.due, "hint": one.hint}
            for one in found.questions
        ],
        "remarks": list(found.remarks),
        "not_listed": list(found.missing),
        "cautions": list(CAUTIONS),
    }


def _stage(stage: StageResult) -> dict[str, Any]:
    tongue = stage.tongue
    return {
        "key": stage.key,
        "title": stage.title,
        "verdict": stage.verdict,
        "trailer": _mass("", stage.trailer_kg),
        "vehicle": _mass("", stage.vehicle_kg),
        "tongue": {
            **_mass("", tongue.weight_kg),
            "share": plain(tongue.share.value),
            "best_share": plain(tongue.share.best),
            "sd_share": plain(tongue.share.sd),
            "share_low": plain(tongue.share.low),
            "share_high": plain(tongue.share.high),
            **_mass("net", tongue.net_kg),
            **_mass("ball_contact", tongue.contact_kg),
            "bar_moment_nm": plain(tongue.bar_moment.value),
            "front_load_restoration": plain(tongue.restoration.value)
            if tongue.restoration
            else None,
        },
        "axles": [
            {**plain(axle, {Spread: _median}), **_mass("", axle.weight_kg)} for axle in stage.axles
        ],
        "attitude": plain(stage.attitude, {Spread: _median}),
        "limits": [
            {
                **_limit(limit),
                "widened_by": list(stage.widened.get(limit.name, ())),
                "tipped_by_unlisted": limit.name in stage.unlisted,
            }
            for limit in stage.limits
        ],
        "notes": [_limit(limit) for limit in stage.notes],
        "chance_any": plain(stage.chance),
        "deciding": stage.deciding.name if stage.deciding else None,
        "coupling_governed_by": stage.governing.name if stage.governing else None,
        "ledger": _ledger(stage.ledger),
        "ledger_as_driven": _ledger(stage.driven),
    }


def _mass(prefix: str, spread: Spread) -> dict[str, float | None]:
    """`weight_kg`, `best_kg` and `sd_kg`, or `net_kg`, `net_best_kg` and `net_sd_kg`."""
    more = f"{prefix}_" if prefix else ""
    return {
        f"{prefix or 'weight'}_kg": plain(spread.value),
        f"{more}best_kg": plain(spread.best),
        f"{more}sd_kg": plain(spread.sd),
    }


def _median(spread: Spread) -> Any:
    return plain(spread.value)


def _limit(limit: LimitStatus) -> dict[str, Any]:
    unit, known = limit.unit, limit.verdict != "unknown"
    return {
        "name": limit.name,
        "title": limit.title,
        "standing": limit.told,
        "lifted": limit.lifts,
        f"rating_{unit}": plain(limit.rating) if known else None,
        f"value_{unit}": plain(limit.value),
        f"best_{unit}": plain(limit.best),
        f"sd_{unit}": plain(limit.sd),
        f"margin_{unit}": plain(limit.margin) if known else None,
        "chance_exceeded": plain(limit.chance) if known else None,
        "side": limit.side,
        "source": limit.source,
        "look_up": None if known else limit.due,
    }


def _ledger(ledger: Ledger) -> list[dict[str, Any]]:
    return [{**plain(entry), "carried_by": entry.body or None} for entry in ledger.entries]


def headroom_rows(rows: tuple[Headroom, ...]) -> list[dict[str, Any]]:
    """What each place, seat and tank can still take, kg, and what one more kg there does."""
    return [{"name": row.spot.name, "kind": row.spot.kind, **plain(row)} for row in rows]


def weighing_report(found: "Reconciled", cannot: tuple[str, ...]) -> dict[str, Any]:
    """A reconciled ticket: agreement, every reading, the suspect, what stays open. SI values."""
    from steelyard.weighing.excess import excesses, given
    from steelyard.weighing.mistakes import UNIT
    from steelyard.weighing.pass_differences import steps

    return {
        "weighing": REPORT,
        "agrees": found.whole.holds,
        "agrees_with_each_other": found.among.holds,
        "agrees_with_file": found.file.holds,
        "chi_square": found.whole.chi_square,
        "degrees": found.whole.degrees,
        "chance": found.whole.chance,
        "among": _agreement(found.among),
        "with_file": _agreement(found.file),
        "heavier_than_listed": plain(excesses(found)),
        "gives_way": plain(given(found)),
        "suspect": found.suspect.name if found.suspect else None,
        "unit_hint": next((slip.found for slip in found.slips if slip.due == UNIT), None),
        "slips": [sentence(replace(slip, asks=False)) for slip in found.slips],
        "perhaps_aboard": list(found.out),
        "errors_wider": found.wider,
        "steps": plain(steps(found.weighed)),
        "left_open": list(cannot),
        "readings": plain(found.readings),
    }


def _agreement(one: "Agreement") -> dict[str, float]:
    return {"chi_square": one.chi_square, "degrees": one.degrees, "chance": one.chance}
