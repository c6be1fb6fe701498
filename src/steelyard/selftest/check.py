"""One check: a number that is due, how near is near enough, and how to find it here."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What is found here and what ought to be found.

    unit: of `expected`, `tolerance` and what `find` gives; "" for a count. source: where the
    expected value comes from.
    """

    name: str
    source: str
    expected: float
    tolerance: float
    unit: str
    find: Callable[[], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A check and what came of it; `fault` in place of a number where it could not be found."""

    check: Check
    found: float | None
    fault: str | None = None

    @property
    def holds(self) -> bool:
        """Within its tolerance; a number that is none is not."""
        if self.found is None:
            return False
        return abs(self.found - self.check.expected) <= self.check.tolerance


def run(checks: Iterable[Check]) -> Iterator[Finding]:
    """Work through the checks; one that breaks is a finding, and the others go on."""
    for check in checks:
        try:
            yield Finding(check=check, found=float(check.find()))
        except Exception as error:  # noqa: BLE001 - whatever breaks is what was to be found out
            said = " ".join(str(error).split()) or "no reason given"
            yield Finding(check=check, found=None, fault=f"{type(error).__name__}: {said}")
