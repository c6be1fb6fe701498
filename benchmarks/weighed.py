"""A ticket of twelve readings reconciled with its rig, against one batch of the statics."""

from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
import rigs
from machine import seconds
from table import Row

from steelyard.assessment import assess
from steelyard.estimate import draws, stencil
from steelyard.quantity import POUND
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.weighing.advise import next_readings
from steelyard.weighing.laid_ticket import lay
from steelyard.weighing.reconcile import reconcile
from steelyard.weighing.ticket import Ticket

TARGET = 0.050
"""s, on an idle machine."""
FIRST = 0.060
"""s, the first answer after a ticket."""
LATER = 1.5
"""Times the answer without a ticket."""
FRESH = 5
"""Posteriors of which nothing was drawn."""
PADS = ("front", "rear", "trailer")


def rows() -> Iterator[Row]:
    """Twelve readings that agree, the same with one 300 lb off, and what to weigh next."""
    rig = rigs.typical()
    estimate = prior(rig).estimate
    points = estimate.values(stencil(estimate))
    bare = seconds(lambda: loads(rig, points))
    for words, off in (("that agree", 0.0), ("of which one is 300 lb off", 300.0)):
        found = seconds(partial(reconcile, rig, twelve(off)))
        yield _row(f"reconcile 12 readings {words}", found, bare)
    yield from _afterwards()
    yield _row("what to weigh next, all gear", seconds(lambda: next_readings(rig, estimate)), bare)


def _afterwards() -> Iterator[Row]:
    """The first answer after a ticket, whose draws are made for it, and each later one."""
    rig = rigs.typical()
    estimate = prior(rig).estimate
    bare = seconds(lambda: assess(rig, estimate=estimate))
    fresh = [reconcile(rig, twelve(0.0)).posterior for _ in range(FRESH + 1)]
    first = seconds(lambda: assess(rig, estimate=fresh.pop()), repeats=FRESH)
    known = reconcile(rig, twelve(0.0)).posterior
    assess(rig, estimate=known)
    later = seconds(lambda: assess(rig, estimate=known))
    for name, found, most in (("first", first, FIRST), ("each later", later, LATER * bare)):
        yield Row(
            name=f"assess, {name} answer after a ticket",
            measured=f"{found * 1e3:.1f} ms",
            ratio=f"{found / bare:.1f} x the time",
            baseline=f"without a ticket, {bare * 1e3:.1f} ms",
            target=f"{most * 1e3:.0f} ms",
            met=found < most,
        )


def _row(name: str, found: float, bare: float) -> Row:
    agreeing = name.endswith("agree")
    return Row(
        name=name,
        measured=f"{found * 1e3:.1f} ms",
        ratio=f"{found / bare:.1f} x the time",
        baseline=f"the statics once at every step of the slopes, {bare * 1e3:.2f} ms",
        target=f"{TARGET * 1e3:.0f} ms" if agreeing else "",
        met=found < TARGET if agreeing else None,
    )


def twelve(off: float) -> Ticket:
    """Three passes as a rig drawn from the prior would give them, pounds on one too many."""
    laid = lay(rigs.typical(), Ticket.model_validate({"passes": _passes(["1 lb"] * 12)}))
    errors = np.random.default_rng(2).standard_normal(12)
    v = laid.prior.values(draws(laid.prior, 8, 1)[:1])
    texts = []
    for number, (one, error) in enumerate(zip(laid.readings, errors, strict=True)):
        shown = float(np.ravel(one.predict(v))[0]) + one.sd * error
        heavy = laid.lines[number].reading.dimension == "mass"
        wrong = off * (number == 1)
        texts.append(f"{shown / POUND + wrong:.2f} lb" if heavy else f"{shown:.4f} m")
    return Ticket.model_validate({"passes": _passes(texts)})


def _passes(numbers: list[str]) -> dict[str, Any]:
    number = iter(numbers)

    def weights(*axles: str) -> list[dict[str, Any]]:
        return [{"kind": "platform", "axles": [a], "weight": next(number)} for a in axles]

    def fender(at: str) -> dict[str, Any]:
        text = next(number)
        return {"kind": "fender-height", "at": at, "height": text.replace("1 lb", "0.9 m")}

    def hitch() -> dict[str, Any]:
        return {"kind": "hitch-scale", "cell": "shank", "weight": next(number)}

    return {
        "off": {"bars": "off", "readings": [*weights(*PADS), hitch()]},
        "on": {"bars": "on", "readings": [*weights(*PADS), fender("front"), fender("rear")]},
        "alone": {
            "arrangement": "vehicle-alone",
            "readings": [*weights("front", "rear"), fender("rear")],
        },
    }
