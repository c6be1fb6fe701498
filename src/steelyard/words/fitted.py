"""What is fitted against sway, what it can and cannot do; what would narrow the answer.

Nothing of it changes a number: no source gives a damping that may be counted on.
"""

from collections.abc import Iterator
from typing import Final

import numpy as np

from steelyard.quantity import System
from steelyard.rig import Rig
from steelyard.swaying.linear.friction import growing_amplitude
from steelyard.swaying.narrow import Look, Narrowings
from steelyard.swaying.result import StageSway
from steelyard.swaying.time.standard_runs import fitted_friction
from steelyard.words.sway import speed, torque
from steelyard.words.unstated import plainly

KINDS: Final = {
    "bar": "a friction stabiliser beside the ball",
    "coupling": "a stabiliser of friction pads on the ball",
    "cam": "a cam stabiliser on the spring bars",
}
FRICTION: Final = (
    "Its friction is the same whatever the swing and the speed: it stills small swings, takes"
    " little out of large ones, and raises no speed from which sway grows."
)
CAM: Final = (
    "It holds the trailer straight until a swing lifts the bars out of their seats; beyond that it"
    " is friction: it raises no speed from which sway grows."
)
VEHICLE: Final = (
    "the vehicle's stability control for trailers, which brakes once the vehicle is seen to swing"
)
TRAILER: Final = "brakes of the trailer's own against sway, which act once it is seen to swing"
ELECTRONIC: Final = (
    "It acts after sway began, by slowing the rig; it prevents none, needs grip and brakes that"
    " work, and cannot hold what cannot be held."
)
UNCOUNTED: Final = "Nothing is counted for it in any number here"
SOURCES: Final = """\
Friction: R. S. Sharp and M. A. A. Fernandez, Proc. IMechE C 216 (2002), abstract read: Coulomb
friction at the pin makes what happens depend on the size of the swing and is no satisfactory cure;
J. Darling, D. Tilley and B. Gao, Proc. IMechE D 223 (2009) 471-484, abstract read: a friction
stabiliser and the car's stability control both help. ISO 11555-1:2003, read in the text of GB/T
43401.1-2023: stabilisers in the coupling of centre-axle trailers to 3,500 kg; friction moments
within 5 degrees differ by 30 % at most; no least moment was seen. Cam: from memory. Electronic: a
vehicle maker's repair manual (brand withheld): it cannot stabilise a trailer that cannot physically
be held; tests by a caravan club and the University of Bath, as told by a motoring club: some
reduction once snaking occurs, not every accident."""


def fitted_line(rig: Rig) -> str:
    """What is fitted, in one sentence; empty where nothing is."""
    found = [*_names(rig)]
    return f"Fitted: {'; '.join(found)}. {UNCOUNTED}." if found else ""


def fitted_lines(rig: Rig, worst: StageSway, system: System) -> Iterator[str]:
    """What each can and cannot do at the stage and speed in view."""
    control = rig.hitch.sway_control
    if control is not None:
        does = CAM if control.kind == "cam" else FRICTION
        yield f"Fitted: {KINDS[control.kind]}. {does} {_reach(rig, worst, system)}"
    for there, name in _electronic(rig):
        if there:
            yield f"Fitted: {name}. {ELECTRONIC} {UNCOUNTED}."


def _names(rig: Rig) -> Iterator[str]:
    if rig.hitch.sway_control is not None:
        yield KINDS[rig.hitch.sway_control.kind]
    yield from (name for there, name in _electronic(rig) if there)


def _electronic(rig: Rig) -> tuple[tuple[bool, str], ...]:
    return (
        (bool(rig.vehicle.trailer_stability), VEHICLE),
        (bool(rig.trailer.stability_brakes), TRAILER),
    )


def _reach(rig: Rig, worst: StageSway, system: System) -> str:
    """How large a swing its stated friction holds at the speed asked about."""
    moment = fitted_friction(rig)
    if not moment:
        return f"{UNCOUNTED}, nor in a run, as its moment is not stated."
    at = speed(worst.chosen_speed, system)
    edge = growing_amplitude(worst.combination, worst.chosen_speed, moment)
    held = "the rig as its file has it settles without it"
    if np.isfinite(edge):
        held = f"a swing beyond {np.degrees(edge):z.1f} degrees grows all the same"
    return f"{UNCOUNTED} but runs, which have its {torque(moment, system)}; at {at} {held}."


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
