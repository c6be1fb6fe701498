"""Which parts of the coupling must be of one size: ball, coupler, bars, sleeves and their pins."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Generic, Literal

from steelyard.quantity import F, Floats, N, Value, parse
from steelyard.rig import HitchPart, Rig, is_pin

_FILE = Path(__file__).parent / "data" / "sizes.toml"
_NONE = HitchPart()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair(Generic[N]):
    """Two sizes that must fit, m, None where unsaid: `first` less `second` within `low` and `high`.

    due: what to look at where one is unsaid; small, large: why a difference below or above does not
    do; asked: whether an unsaid size leaves it open if the rig can be towed.
    """

    title: str
    first: N | None
    second: N | None
    low: float
    high: float
    due: str
    small: str
    large: str
    asked: bool

    @property
    def name(self) -> str:
        """Its title as a key."""
        return self.title.replace(" ", "-").replace(",", "")

    @property
    def difference(self: "Pair[Floats]") -> Floats | None:
        """`first` less `second`, m; None where one is unsaid."""
        return None if self.first is None or self.second is None else self.first - self.second

    @property
    def verdict(self) -> Literal["within", "exceeded", "unknown"]:
        """Whether the two fit."""
        if self.difference is None:
            return "unknown"
        return "within" if self.low <= self.difference <= self.high else "exceeded"

    @property
    def why(self) -> str:
        """What is wrong, or what to measure; empty where they fit."""
        if self.difference is None:
            return f"look at {self.due}"
        if self.verdict == "within":
            return ""
        return self.small if self.difference < self.low else self.large


@cache
def setting(key: str) -> float:
    """One of the tolerances, m."""
    with _FILE.open("rb") as file:
        return parse(tomllib.load(file)["fit"][key], "length").value


def pairs(rig: Rig[F], region: str) -> tuple[Pair[F], ...]:
    """Every pair of parts of the coupling chain that must fit, vehicle end first."""
    square: bool = not is_pin(rig) and (region == "north-america" or _speaks_of_tubes(rig))
    return (*(_tubes(rig) if square else ()), *(_pins(rig) if square else ()), _ball(rig, region))


def _speaks_of_tubes(rig: Rig[Floats]) -> bool:
    """Whether the file speaks of a receiver's tube at all."""
    receiver, mount = rig.hitch.receiver or _NONE, rig.hitch.ball_mount or _NONE
    sizes = (receiver.opening, receiver.height, mount.shank, mount.drop)
    return bool(rig.hitch.reducers) or any(size is not None for size in sizes)


def _inner(rig: Rig[F]) -> Iterator[tuple[str, HitchPart[F]]]:
    """What goes into the receiver, sleeves in the file's order, then the ball mount."""
    for name, part in rig.hitch.reducers.items():
        yield f"reducer {name}", part
    yield "ball mount", rig.hitch.ball_mount or _NONE


def _tubes(rig: Rig[F]) -> Iterator[Pair[F]]:
    """Each bar in the tube that takes it."""
    outer, called = rig.hitch.receiver or _NONE, "receiver"
    for name, part in _inner(rig):
        unsaid = f"opening of the {called}" if outer.opening is None else f"bar of the {name}"
        yield Pair(
            title=f"{name} in the {called}",
            first=_size(outer.opening),
            second=_size(part.shank),
            low=-1e-6,
            high=setting("loose"),
            due=f"the {unsaid}, by tape",
            small="the bar is larger than the tube that should take it",
            large="the bar is a size too small: it needs a sleeve",
            asked=True,
        )
        outer, called = part, name


def _pins(rig: Rig[F]) -> Iterator[Pair[F]]:
    """The hole of every inner part against the receiver's."""
    first = (rig.hitch.receiver or _NONE).pin
    for name, part in _inner(rig):
        other = "the holes take pins of different sizes"
        yield Pair(
            title=f"hitch pin, receiver and {name}",
            first=_size(first),
            second=_size(part.pin),
            low=-setting("pin"),
            high=setting("pin"),
            due=f"the pin hole of the {'receiver' if first is None else name}, by caliper",
            small=other,
            large=other,
            asked=False,
        )


def _ball(rig: Rig[F], region: str) -> Pair[F]:
    """Ball and coupler; on a pin, jaw and king pin. Europe's ball is of one size, unless stated."""
    usual = setting("europe") if region == "europe" and not is_pin(rig) else None
    ball, coupler = (
        usual if part is None or part.size is None else _size(part.size)
        for part in (rig.hitch.ball, rig.hitch.coupler)
    )
    what = ("jaw or ball", "king pin or coupler") if is_pin(rig) else ("ball", "coupler")
    unsaid = f"the size of the {what[0]}" if ball is None else f"the size on the {what[1]}"
    return Pair(
        title=f"{what[0]} in the {what[1]}",
        first=ball,
        second=coupler,
        low=-setting("ball"),
        high=setting("ball"),
        due=unsaid,
        small="not of one size: the coupler can lift off it",
        large="not of one size: it won't seat",
        asked=not is_pin(rig) and rig.hitch.kind in (None, "ball"),
    )


def _size(stated: Value[F] | None) -> F | None:
    return None if stated is None else stated.value
