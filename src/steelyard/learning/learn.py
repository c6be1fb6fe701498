"""From weighings to the owner's own typical values: each rig once, styles within their kind."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.learning.evidence import QUANTITIES, Evidence, alone, as_one, middle, shipped
from steelyard.learning.three_levels import Learned, Seen, Shipped, learned
from steelyard.typical.shipped_tables import trailer_style

LEAST: Final = 0.1
"""Of the shipped value and sd: no learned ones are less, however alike the rigs were."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taught:
    """A weighing of a rig, which is the same rig where either its name or its hash is; a rig that
    nobody named has an empty one."""

    rig_name: str
    rig_hash: str
    evidence: tuple[Evidence, ...]

    @property
    def agrees(self) -> bool:
        """Whether its readings agree among themselves, whatever they say of the style."""
        return all(one.agrees() for one in self.evidence)


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """One typical value of a style (trailer) or class (vehicle) as learned, beside the shipped one.

    Values and sds of the next unweighed rig; `mean_sd`: of the style's own mean; all shares of 1.
    """

    part: str
    style: str
    name: str
    rigs: int
    value: float
    sd: float
    mean_sd: float
    shipped: float
    shipped_sd: float

    @property
    def moved(self) -> float:
        """How far it moved, in shipped sds."""
        return (self.value - self.shipped) / self.shipped_sd

    @property
    def sharper(self) -> float:
        """By what part the next rig's spread is less; below zero where it is more."""
        return 1.0 - self.sd / self.shipped_sd


Key = tuple[str, str]
"""A part and one of its styles."""


def learn(weighings: Iterable[Taught]) -> tuple[Learnt, ...]:
    """Every typical value that at least one rig says something of, by part, style and name.

    Weighings whose readings do not agree, among themselves or with any such style, say nothing.
    """
    rigs = _by_rig([one for one in weighings if one.agrees])
    kinds: dict[str, set[Key]] = defaultdict(set)
    for rig in rigs:
        for one in rig:
            kinds[_kind(one)].add((one.part, one.style))
    found = [row for kind in kinds.values() for row in _of_kind(rigs, kind)]
    return tuple(sorted(found, key=lambda row: (row.part, row.style, row.name)))


def _kind(one: Evidence) -> str:
    """Styles that share what makes shipped values wrong: all vehicles, trailers by their hitch."""
    return "vehicle" if one.part == "vehicle" else str(trailer_style(one.style)["hitch"])


def _of_kind(rigs: Sequence[Sequence[Evidence]], kind: set[Key]) -> list[Learnt]:
    """Quantity by quantity in their order; each knows the ones before it as learned."""
    part = next(iter(kind))[0]
    names = [name for name, one in QUANTITIES.items() if one.part == part]
    base = {(style, name): shipped(part, style, name) for _, style in kind for name in names}
    believed = {key: (one.value, one.sd) for key, one in base.items()}
    found = []
    for name in names:
        seen = _seen(rigs, sorted(kind), name, believed, base)
        for style, row in zip(seen, learned(tuple(seen.values())) if seen else (), strict=True):
            believed[style, name] = row.value, row.sd
            found.append(_beside((part, style), name, row, base[style, name]))
    return found


def _seen(
    rigs: Sequence[Sequence[Evidence]],
    kind: Sequence[Key],
    name: str,
    believed: Mapping[Key, tuple[float, float]],
    base: Mapping[Key, Shipped],
) -> dict[str, Seen]:
    """What rigs say of one quantity, by style; styles of which none says anything left out."""
    rows: dict[Key, list[tuple[float, float]]] = defaultdict(list)
    for rig in rigs:
        said: dict[Key, list[tuple[float, float]]] = defaultdict(list)
        for one in rig:
            if (one.part, one.style) in kind and name in one.names:
                others = {other: believed[one.style, other] for other in one.names}
                by_itself = alone(one, name, others)
                said[one.part, one.style] += [by_itself] if by_itself else []
        for key, seen in said.items():
            if seen:
                rows[key].append(as_one(seen))
    pairs = {style: np.array(rows[part, style]) for part, style in kind if rows[part, style]}
    return {
        style: Seen(y=both[:, 0], s=both[:, 1], shipped=base[style, name])
        for style, both in pairs.items()
    }


def _beside(key: Key, name: str, row: Learned, base: Shipped) -> Learnt:
    """As tables hold it; no share of weight is learned below a tenth of the shipped one."""
    mean = max(row.value, LEAST * base.value)
    value, sd = middle(name, mean, max(row.sd, LEAST * base.sd))
    old, old_sd = middle(name, base.value, base.sd)
    return Learnt(
        part=key[0],
        style=key[1],
        name=name,
        rigs=row.rigs,
        value=value,
        sd=sd,
        mean_sd=row.mean_sd,
        shipped=old,
        shipped_sd=old_sd,
    )


def _by_rig(weighings: Sequence[Taught]) -> list[list[Evidence]]:
    """The evidence of each rig, weighings of one name or one hash together."""
    first: dict[str, int] = {}
    of = list(range(len(weighings)))

    def root(i: int) -> int:
        while of[i] != i:
            of[i] = of[of[i]]
            i = of[i]
        return i

    for i, one in enumerate(weighings):
        named = [f"name {one.rig_name.strip().casefold()}"] if one.rig_name.strip() else []
        for mark in (f"hash {one.rig_hash}", *named):
            of[root(i)] = root(first.setdefault(mark, i))
    found: dict[int, list[Evidence]] = defaultdict(list)
    for i, one in enumerate(weighings):
        found[root(i)] += one.evidence
    return list(found.values())
