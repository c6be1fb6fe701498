"""The last walk round before the road, fitted to what the rig has; and what to do if it sways."""

from collections.abc import Iterator
from typing import Final

from steelyard.cards.result import Section
from steelyard.rig import FIFTH_WHEELS, Rig, is_pin
from steelyard.words.assessed import coupling
from steelyard.words.trade import HOOKS

PRACTICE: Final = "common practice, no source"
_OPEN: Final = ("open-utility", "flatbed-equipment", "car-hauler", "boat", "gooseneck")
_LIVED_IN: Final = (
    "rear-living",
    "rear-bunk",
    "front-living",
    "middle-kitchen",
    "rear-bath",
    "toy-hauler",
    "small-single-axle",
    *FIFTH_WHEELS,
    "centre-axle-caravan",
)


def walk(rig: Rig) -> Section:
    """What to look at and to pull on, from the vehicle backward."""
    lines = (*_coupling(rig), *_trailer(rig), *_load(rig))
    return Section(
        title="Walk round before the road", lines=lines, more="", source=PRACTICE, ticked=True
    )


def _coupling(rig: Rig) -> Iterator[str]:
    if is_pin(rig):
        if coupling(rig) == "ball":
            yield "Coupler locked round the ball, its pin in; jack lifts nothing"
        else:
            yield "Jaws closed on the kingpin, handle latched and locked; tailgate up"
            yield "Tug test: trailer brakes held, pull gently before the legs come up"
    elif rig.hitch.kind in HOOKS:
        yield "Receiver pin and its clip in" if rig.hitch.kind == "pintle" else "Its mount tight"
        yield "Coupler in the ball, not worn; closed and pinned; lift the tongue to prove it"
    else:
        if rig.region == "europe":
            yield "Tow ball locked in its seat, if it comes off; its ball clean, not worn"
        else:
            yield "Receiver pin and its clip in; ball nut tight"
        yield "Coupler down over the ball, latch closed and pinned; lift the tongue to prove it"
    if rig.hitch.chains is not None:
        yield _chains(rig)
    elif not is_pin(rig) or coupling(rig) == "ball":
        crossed = "" if is_pin(rig) else "crossed and "
        yield f"Safety chains: not listed in the file; {crossed}hooked if fitted"
    if rig.trailer.breakaway is not False and rig.trailer.brakes is not False:
        yield "Breakaway cable on the vehicle itself, not on the ball mount; not pulled"
    if rig.hitch.bars is not None:
        yield "Spring bars hooked up at the same link on both sides, clips in"


def _chains(rig: Rig) -> str:
    if is_pin(rig):
        return "Chains hooked to their anchors in the bed, slack enough to turn"
    many = rig.hitch.chains is not None and rig.hitch.chains.count > 1
    if many:
        return "Chains crossed under the tongue, hooked, clear of the road"
    return "Chain hooked, clear of the road"


def _trailer(rig: Rig) -> Iterator[str]:
    yield "Plug in: brake, turn, tail and marker lights seen to work"
    if rig.trailer.brakes is not False:
        yield "Trailer brakes felt at walking pace"
    yield "Jack or legs up and locked, foot stowed; chocks and blocks away"
    yield "Tyres cold to the pressures on the front; no cracks, tread good, spare too"
    yield "Wheel nuts to their torque; again after the first miles with a wheel off"


def _load(rig: Rig) -> Iterator[str]:
    style = rig.trailer.style
    if style in _OPEN:
        yield "Load tied down fore, aft and sideways; ramps and tailgate pinned"
    else:
        yield "Load held so that it cannot slide; places as in the drawing"
    if any(rig.places[item.place].on == "vehicle" for item in rig.items.values()):
        yield "Load in the vehicle tied down"
    if style in _LIVED_IN:
        yield "Doors, hatches and windows locked; steps in; awning and aerial down"
        yield "Gas bottles shut; cupboards and refrigerator latched"
    elif style not in _OPEN:
        yield "Doors and ramp locked and pinned"
    if rig.trailer.tanks:
        yield "Tanks at the levels of this stage; caps on, valves shut"


def swaying(rig: Rig) -> Section:
    """What to do if it sways."""
    brake = (
        ("Work the trailer's brakes alone, if they have a hand lever, gently.",)
        if rig.trailer.brakes is not False and rig.trailer.brake_kind != "surge"
        else ()
    )
    lines = (
        "Foot off the accelerator. Let it slow down.",
        "Hold the wheel firmly and straight. Do not steer against the swing.",
        *brake,
        "Do not press the vehicle's brake pedal: it usually makes the sway worse.",
        "Then stop in a safe place, move weight forward or take some out, and drive slower.",
    )
    return Section(
        title="If it sways",
        lines=lines,
        more="",
        source="US National Highway Traffic Safety Administration, advice on towing a trailer, read"
        " in a reprint; steering and the last line: common practice, no source",
        ticked=False,
    )
