"""Many candidates' parameters and stickers read in one pass, their numbers as columns.

The readers of `typical` and `statics` serve one rig and columns alike: what is alike but for its
numbers takes the same way through them. Tests on numbers are asked by `holds`; where one falls out
differently for two candidates, each part is read again by itself.
"""

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.columns.alike import Numbers, Path, Which, with_numbers
from steelyard.estimate import Array, Reading, to_scale
from steelyard.quantity import Floats, Scale, holds
from steelyard.quantity.columns import DifferError
from steelyard.rig import Rig
from steelyard.typical.sheet import Parameter, Sheet

Way = Callable[[Rig[Floats]], tuple[Hashable, Sheet[Floats], list[Reading[Floats]]]]
"""Reads one rig: a key of what must be the same, its sheet, and its stickers and ties."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What G candidates' files say: parameters on their scales, mean and sd (G, p), constants (G,)
    each, and the numbers that were read, seen and noise (an sd) (G, m). `key`: see `Way`."""

    members: NDArray[np.intp]
    key: Hashable
    names: tuple[str, ...]
    scales: tuple[Scale, ...]
    mean: Array
    sd: Array
    constants: Mapping[str, Array]
    seen: Array
    noise: Array


def read_together(rig_of: Callable[[int], Rig], numbers: Numbers, way: Way) -> Iterator[Known]:
    """Alike candidates read in as few parts as their numbers allow, each beside its own first.

    Parts that came out alike after all are joined again; members are counted in `numbers`.
    """
    groups: dict[Hashable, list[Known]] = {}
    for part in _parts(rig_of, numbers, np.arange(len(numbers.value)), way):
        groups.setdefault((part.key, part.names, tuple(part.constants)), []).append(part)
    for parts in groups.values():
        yield parts[0] if len(parts) == 1 else _joined(parts)


def _parts(
    rig_of: Callable[[int], Rig], numbers: Numbers, members: NDArray[np.intp], way: Way
) -> Iterator[Known]:
    left = [members]
    while left:
        some = left.pop()
        try:
            yield _one_part(rig_of(int(some[0])), numbers, some, way)
        except DifferError as differ:
            left += [some[~differ.holds], some[differ.holds]]
        except (TypeError, ValueError):
            if len(some) == 1:
                raise
            left += [some[number : number + 1] for number in range(len(some))][::-1]


def _one_part(rig: Rig, numbers: Numbers, members: NDArray[np.intp], way: Way) -> Known:
    own = numbers.some(members)
    key, sheet, readings = way(columns(rig, own))
    loose, fixed = list[Parameter[Floats]](), list[Parameter[Floats]]()
    for p in sheet.parameters.values():
        (loose if holds(p.sd > 0) else fixed).append(p)
    G = len(members)
    scaled = [_scaled(p, G) for p in loose]
    return Known(
        members=members,
        key=key,
        names=tuple(p.name for p in loose),
        scales=tuple(p.scale for p in loose),
        mean=_side_by_side([mean for mean, _ in scaled], G),
        sd=_side_by_side([sd for _, sd in scaled], G),
        constants={p.name: _side_by_side([p.value], G)[:, 0] for p in fixed},
        seen=_side_by_side([reading.value for reading in readings], G),
        noise=_side_by_side([reading.sd for reading in readings], G),
    )


def columns(rig: Rig, own: Numbers) -> Rig[Floats]:
    """The rig with a column for each number in which candidates differ; one alone has none."""
    first = own.some([0])
    whole: Rig[Floats] = rig
    for which in _BOTH:
        table = getattr(first, which)[0]
        alone = {path: table[place] for place, path in enumerate(own.paths)}
        found: dict[Path, Floats] = {path: x for path, x in alone.items() if not np.isnan(x)}
        found.update(own.differing(which))
        whole = with_numbers(whole, found, which)
    return whole


_BOTH: Final[tuple[Which, ...]] = ("value", "sd")


def _side_by_side(found: Sequence[Floats], G: int) -> Array:
    """(G, k) of k numbers or columns."""
    whole = np.empty((G, len(found)))
    for place, one in enumerate(found):
        whole[:, place] = one
    return whole


def _scaled(one: Parameter[Floats], G: int) -> tuple[Floats, Floats]:
    """`to_scale` of a parameter whose value or sd may be a column."""
    value, sd = np.asarray(one.value), np.asarray(one.sd)
    if value.ndim == sd.ndim == 0:
        return to_scale(float(value), float(sd), one.scale)
    if one.scale == "log":
        return np.log(value), sd / value
    if one.scale == "linear":
        return value, sd
    pairs = zip(np.broadcast_to(value, G), np.broadcast_to(sd, G), strict=True)
    mean, spread = zip(*(to_scale(float(x), float(y), one.scale) for x, y in pairs), strict=True)
    return np.array(mean), np.array(spread)


def _joined(parts: Sequence[Known]) -> Known:
    """Parts alike as one, members in order."""
    first = parts[0]
    members = np.concatenate([part.members for part in parts])
    order = np.argsort(members)

    def whole(found: Sequence[Array]) -> Array:
        return np.asarray(np.concatenate(found)[order])

    return Known(
        members=members[order],
        key=first.key,
        names=first.names,
        scales=first.scales,
        mean=whole([part.mean for part in parts]),
        sd=whole([part.sd for part in parts]),
        constants={
            name: whole([part.constants[name] for part in parts]) for name in first.constants
        },
        seen=whole([part.seen for part in parts]),
        noise=whole([part.noise for part in parts]),
    )
