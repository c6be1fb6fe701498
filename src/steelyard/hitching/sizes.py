"""Whether ball, coupler, bars, sleeves and pins are of one size."""

from collections.abc import Iterator

from steelyard.hitching.result import Match
from steelyard.hitching.steps import setting
from steelyard.quantity import Value
from steelyard.ratings import Verdict
from steelyard.rig import HitchPart, Rig, is_pin

_NONE = HitchPart()


def matches(rig: Rig, region: str) -> tuple[Match, ...]:
    """Every pair of parts of the coupling chain that must fit, vehicle end first."""
    square = not is_pin(rig) and (region == "north-america" or _stated(rig))
    return (*(_tubes(rig) if square else ()), *(_pins(rig) if square else ()), _ball(rig))


def _stated(rig: Rig) -> bool:
    """Whether the file speaks of a receiver's tube at all."""
    receiver, mount = rig.hitch.receiver or _NONE, rig.hitch.ball_mount or _NONE
    sizes = (receiver.opening, receiver.height, mount.shank, mount.drop)
    return bool(rig.hitch.reducers) or any(size is not None for size in sizes)


def _tubes(rig: Rig) -> Iterator[Match]:
    """Each bar in the tube that takes it: receiver, sleeves in the file's order, ball mount."""
    outer, called = rig.hitch.receiver or _NONE, "receiver"
    inner = [(f"reducer {name}", part) for name, part in rig.hitch.reducers.items()]
    for name, part in (*inner, ("ball mount", rig.hitch.ball_mount or _NONE)):
        yield _tube(called, name, outer.opening, part.shank)
        outer, called = part, name


def _tube(outer: str, inner: str, opening: Value | None, shank: Value | None) -> Match:
    title = f"{inner} in the {outer}"
    verdict: Verdict = "within"
    why = ""
    if opening is None or shank is None:
        part = f"opening of the {outer}" if opening is None else f"bar of the {inner}"
        verdict, why = "unknown", f"measure the {part}"
    elif shank.value > opening.value + 1e-6:
        verdict, why = "exceeded", "the bar is larger than the tube that should take it"
    elif opening.value - shank.value > setting("fit", "loose"):
        verdict, why = "exceeded", "the bar is a size too small: it needs a sleeve"
    return _match(title, opening, shank, verdict, why)


def _pins(rig: Rig) -> Iterator[Match]:
    """The hole of every inner part against the receiver's."""
    first = (rig.hitch.receiver or _NONE).pin
    inner = [(f"reducer {name}", part) for name, part in rig.hitch.reducers.items()]
    for name, part in (*inner, ("ball mount", rig.hitch.ball_mount or _NONE)):
        verdict: Verdict = "within"
        why = ""
        if first is None or part.pin is None:
            whose = "receiver" if first is None else name
            verdict, why = "unknown", f"measure the pin hole of the {whose}"
        elif abs(first.value - part.pin.value) > setting("fit", "pin"):
            verdict, why = "exceeded", "the holes take pins of different sizes"
        yield _match(f"hitch pin, receiver and {name}", first, part.pin, verdict, why)


def _ball(rig: Rig) -> Match:
    ball, coupler = ((part or _NONE).size for part in (rig.hitch.ball, rig.hitch.coupler))
    what = ("jaw or ball", "king pin or coupler") if is_pin(rig) else ("ball", "coupler")
    verdict: Verdict = "within"
    why = ""
    if ball is None or coupler is None:
        seen = f"look at the {what[0]}" if ball is None else f"read the size on the {what[1]}"
        verdict, why = "unknown", seen
    elif abs(ball.value - coupler.value) > setting("fit", "ball"):
        lift = "the coupler can lift off it" if ball.value < coupler.value else "it won't seat"
        verdict, why = "exceeded", f"not of one size: {lift}"
    return _match(f"{what[0]} in the {what[1]}", ball, coupler, verdict, why)


def _match(
    title: str, first: Value | None, second: Value | None, verdict: Verdict, why: str
) -> Match:
    return Match(
        name=title.replace(" ", "-").replace(",", ""),
        title=title,
        first=first.value if first else None,
        second=second.value if second else None,
        verdict=verdict,
        why=why,
    )
