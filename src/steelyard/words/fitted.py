"""What is fitted against sway, what it can do and what it cannot, in sentences.

Nothing of it changes a number: no source gives a damping that may be counted on.
"""

from collections.abc import Iterator
from typing import Final

import numpy as np

from steelyard.quantity import System
from steelyard.rig import Rig
from steelyard.swaying.linear.friction import growing_amplitude
from steelyard.swaying.result import StageSway
from steelyard.swaying.time.standard_runs import fitted_friction
from steelyard.words.sway import speed, torque

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
