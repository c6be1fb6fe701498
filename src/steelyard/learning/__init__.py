"""Learning: what the rigs that were weighed say of the next one of their style."""

from steelyard.learning.evidence import QUANTITIES, Evidence, evidence
from steelyard.learning.learn import Learnt, Taught, learn

__all__ = ["QUANTITIES", "Evidence", "Learnt", "Taught", "evidence", "learn"]
