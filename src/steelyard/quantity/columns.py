"""Numbers that may stand for many: a column, one for each of G candidates, and tests on it."""

from typing import TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = float | NDArray[np.float64]
"""A number, or a column of it."""
F = TypeVar("F", float, Floats)
"""Plain numbers in and out, or columns in and out."""


class DifferError(Exception):
    """A test on columns that holds for some candidates only, (G,)."""

    def __init__(self, holds: NDArray[np.bool_]) -> None:
        super().__init__()
        self.holds = holds


def holds(test: bool | NDArray[np.bool_]) -> bool:  # noqa: FBT001  (the test itself)
    """Whether a test on a number holds, or on all numbers of a column; DifferError where it holds
    for some only, so that they can be read apart.

    >>> holds(np.array([2.0, 3.0]) > 1.0)
    True
    """
    if not isinstance(test, np.ndarray):
        return bool(test)
    if test.any() != test.all():
        raise DifferError(test)
    return bool(test.all())
