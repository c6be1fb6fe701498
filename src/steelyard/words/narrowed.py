"""What would narrow the answer about sway, in sentences."""

from collections.abc import Iterator
from typing import Final

from steelyard.quantity import System
from steelyard.swaying.narrow import Look, Narrowings
from steelyard.words.sway import speed
from steelyard.words.unstated import plainly

LOOKS: Final[dict[Look, str]] = {
    "trailer tyres": "the trailer's tyres: load and pressure off the sidewall, pressure by gauge",
    "vehicle tyres": "the vehicle's tyres: load and pressure off the sidewall, pressure by gauge",
    "axle place": "the trailer's axles by tape: ball to each wheel centre",
    "trailer lengths": "the trailer's box by tape: ball to its front, and its length",
    "vehicle lengths": "the vehicle by tape: wheelbase, and rear wheel centre to ball",
    "heights": "heights by tape: coupler, ball and hubs",
    "stations": "by tape where each thing rides",
    "weights": "what each thing and person weighs, on a bathroom scale",
    "levels": "the levels of its tanks, off the gauges",
    "bars": "the spring bars' setting, by fender heights",
    "scale": "a weighing: tongue, both axles of the vehicle, the trailer's axles",
}
NAMES: Final = {
    "trailer.yaw_radius": "how far from its middle the empty trailer's weight lies",
    "trailer.axles.cornering": "how stiffly the trailer's tyres corner",
    "vehicle.rear.cornering": "how stiffly the vehicle's rear tyres corner",
    "vehicle.understeer": "how much the vehicle understeers",
    "vehicle.yaw_inertia_ratio": "how far from its middle the vehicle's weight lies",
    "tyres.relaxation": "how far tyres roll until they answer",
    "tyres.peak_load": "the load at which tyres corner best",
}
MOST: Final = 2
"""Looks that the first answer names."""


def narrowed_line(found: Narrowings, system: System) -> str:
    """The first answer: what narrows it most, or that nothing at hand does."""
    at = f"The damping ratio at {speed(found.speed, system)} is known to ± {found.half:z.2f}"
    if found.looks:
        named = (f"{LOOKS[one.look]} (to ± {one.half:z.2f})" for one in found.looks[:MOST])
        return f"{at}. What would narrow it: {'; '.join(named)}."
    names = " and ".join(_name(one.name) for one in found.unseen[:MOST])
    hangs = f" It depends on {names}, which only how it ran on the road tells." if names else ""
    return f"{at}; no tape, gauge or scale narrows that by much.{hangs}"


def narrowed_lines(found: Narrowings, system: System) -> Iterator[str]:
    """All of it: every look with its gain, those that hardly help, what nothing at hand sees."""
    at = speed(found.speed, system)
    known = f"The damping ratio at {at} is known to ± {found.half:z.3f}"
    yield f"{known}. What would narrow it:" if found.looks else f"{known}."
    for number, one in enumerate(found.looks, start=1):
        yield f"{number}. {LOOKS[one.look]}: to ± {one.half:z.3f}"
    if found.idle:
        yield f"Hardly narrowed by: {'; '.join(LOOKS[look] for look in found.idle)}."
    yield f"All of these together: to ± {found.together:z.3f}."
    if found.unseen:
        yield "What is left only how it ran on the road tells. If it were known"
        yield from (f"- {_name(one.name)}: ± {one.half:z.3f}" for one in found.unseen)


def _name(name: str) -> str:
    return NAMES.get(name, plainly(name))
