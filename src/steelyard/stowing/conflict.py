"""Which limits cannot hold together: as few of them as make a conflict."""

from collections.abc import Iterable, Sequence
from typing import Final

import highspy
import numpy as np

from steelyard.stowing.problem import Problem
from steelyard.stowing.program import INF, INTEGER, REAL, Program, Watch, quiet
from steelyard.stowing.redundant_rows import thinned

TRIES: Final = 200
"""Times to try whether some limits hold, in the search for fewer than the first conflict has."""
NODES: Final = 400
"""Nodes for one try; the clock ends it only where these take ten seconds."""
MET: Final = 1e-6
"""kg by which a row may miss in what the solver calls a solution."""


def conflict(problem: Problem) -> tuple[str, ...]:
    """Families of limits that cannot hold together: the fewest there are, or, where tries run out,
    none of them to spare. () where everything fits.

    First a deletion filter (Chinneck & Dravnieks, ORSA Journal on Computing 3 (1991) 157-168), on
    the relaxation if that conflicts, where things may be cut in pieces. Then hitting sets: whatever
    conflicts must hold a limit of each set whose absence lets the rest hold, so the fewest that do
    are tried until they conflict (Ignatiev, Previti, Liffiton & Marques-Silva, CP 2015, from
    memory).
    """
    rows = _Families(thinned(problem))  # whatever conflicts, what implies it conflicts as well
    names = rows.names
    rows.whole(things=False)
    if rows.fit(names):
        rows.whole(things=True)
        if rows.fit(names):
            return ()
    known = list(names)
    for name in names:
        fewer = [one for one in known if one != name]
        if not rows.fit(fewer):
            known = fewer
    rows.whole(things=True)
    return tuple(_fewest(rows, known))


def _fewest(rows: "_Families", known: list[str]) -> list[str]:
    """The fewest that conflict, of which `known` are some that do."""
    spared: list[list[str]] = []
    while rows.tries < TRIES:
        tried = hitting(rows.names, spared)
        if len(tried) >= len(known):
            break
        if not rows.fit(tried):
            return tried
        held = rows.met(tried)
        for name in rows.names:
            if name not in held and rows.fit([*held, name]):
                held = rows.met([*held, name])
        spared.append([name for name in rows.names if name not in held])
    return known


def hitting(names: Sequence[str], sets: Sequence[Sequence[str]]) -> list[str]:
    """As few names as have one in each set."""
    highs, n = quiet(), len(names)
    highs.addVars(n, np.zeros(n), np.ones(n))
    index = np.arange(n, dtype=np.int32)
    highs.changeColsCost(n, index, np.ones(n))
    highs.changeColsIntegrality(n, index, np.full(n, INTEGER))
    for one in sets:
        columns = np.array([names.index(name) for name in one], dtype=np.int32)
        highs.addRow(1.0, INF, len(columns), columns, np.ones(len(columns)))
    highs.run()
    chosen = np.array(highs.getSolution().col_value) > 0.5
    return [name for name, there in zip(names, chosen, strict=True) if there]


class _Families:
    """The program with its families of limits in force or not."""

    def __init__(self, problem: Problem) -> None:
        self._program = Program(problem=problem, leaving=False, watch=Watch())
        self._all = self._program.families
        self._on = [True] * len(self._all)
        self.names = list(dict.fromkeys(name for name, _, _ in self._all if name))
        self._program.highs.setOptionValue("mip_max_nodes", NODES)
        self._program.highs.setOptionValue("time_limit", 10.0)
        self.tries = 0

    def whole(self, *, things: bool) -> None:
        """Whether things stay whole, or may be cut in pieces."""
        n = len(self._program.cells)
        index = np.arange(n, dtype=np.int32)
        self._program.highs.changeColsIntegrality(n, index, np.full(n, INTEGER if things else REAL))

    def fit(self, names: Iterable[str]) -> bool:
        """Whether anything may satisfy these families, and what is no limit."""
        self.tries += 1
        highs, wanted = self._program.highs, {"", *names}
        for row, (name, low, high) in enumerate(self._all):
            on = name in wanted
            if on != self._on[row]:
                highs.changeRowBounds(row, *((low, high) if on else (-INF, INF)))
                self._on[row] = on
        highs.run()
        return bool(highs.getModelStatus() != highspy.HighsModelStatus.kInfeasible)

    def met(self, names: Iterable[str]) -> list[str]:
        """The families just tried, and all others that hold as well in the solution found."""
        broken = set(self.names) - set(names)
        values = self._program.highs.getSolution().row_value
        if self._program.highs.getInfo().primal_solution_status == 2:
            broken = {
                name
                for (name, low, high), x in zip(self._all, values, strict=True)
                if name in broken and not low - MET <= x <= high + MET
            }
        return [name for name in self.names if name not in broken]
