"""Proof on the user's own machine: published cases worked out again, and what the answers stand on.

`run` works through the checks one by one; none of them leaves anything behind.
"""

from steelyard.selftest.check import Check, Finding, run
from steelyard.selftest.machine import MACHINE
from steelyard.selftest.published import PUBLISHED

CHECKS = (*PUBLISHED, *MACHINE)

__all__ = ["CHECKS", "Check", "Finding", "run"]
