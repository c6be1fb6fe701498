"""Limits, rulebooks, tyres, standings: what a load must stay within, and whether it does."""

from steelyard.ratings.check import Check
from steelyard.ratings.limits import checks
from steelyard.ratings.rulebook import Rule, Rulebook, load_rulebook
from steelyard.ratings.standing import MAY_BE_OVER, TIGHT, Standing, Verdict, judge, judged

__all__ = [
    "MAY_BE_OVER",
    "TIGHT",
    "Check",
    "Rule",
    "Rulebook",
    "Standing",
    "Verdict",
    "checks",
    "judge",
    "judged",
    "load_rulebook",
]
