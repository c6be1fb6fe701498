"""Which key belongs to which part of the coupling chain."""

from collections.abc import Iterator
from typing import Final

from steelyard.fault import Fault, quoted
from steelyard.quantity.columns import Floats, holds
from steelyard.rig.hitch import HitchPart
from steelyard.rig.listing import Listing

BELONGS: Final = {
    "height": ("receiver",),
    "opening": ("receiver", "reducers"),
    "shank": ("reducers", "ball_mount"),
    "pin": ("receiver", "reducers", "ball_mount"),
    "drop": ("reducers", "ball_mount"),
    "rise": ("ball",),
    "size": ("ball", "coupler"),
}
"""Keys of a hitch part that only some of the parts have."""
REACH: Final = ("retracted", "travel", "drop_leg", "blocks")
LONGEST_JACK: Final = 2.0
"""m: nothing a tongue jack reaches with is longer."""


def hitch_part_faults(rig: Listing[Floats]) -> Iterator[Fault]:
    """Keys on the wrong part, reducers that do not reduce, jacks of no possible length."""
    hitch = rig.hitch
    parts: dict[tuple[str, ...], HitchPart[Floats] | None] = {
        ("receiver",): hitch.receiver,
        **{("reducers", name): part for name, part in hitch.reducers.items()},
        ("ball_mount",): hitch.ball_mount,
        ("ball",): hitch.ball,
        ("coupler",): hitch.coupler,
    }
    for path, part in parts.items():
        for key, owners in BELONGS.items():
            if part is not None and getattr(part, key) is not None and path[0] not in owners:
                where = " or ".join(owners).replace("_", " ")
                yield Fault(
                    path=("hitch", *path, key), due=f"this key on {where} only", found="it here"
                )
    for name, sleeve in hitch.reducers.items():
        if sleeve.opening and sleeve.shank and holds(sleeve.opening.value >= sleeve.shank.value):
            yield Fault(
                path=("hitch", "reducers", name, "opening"),
                due=f"less than its outside {sleeve.shank.text!r}",
                found=quoted(sleeve.opening.text),
            )
    for key in REACH if hitch.jack else ():
        length = getattr(hitch.jack, key)
        if length is not None and holds(length.value > LONGEST_JACK):
            yield Fault(
                path=("hitch", "jack", key),
                due=f"at most {LONGEST_JACK:g} m",
                found=quoted(length.text),
            )
