"""Limits, rulebooks, tyres, standings: what a load must stay within, and whether it does."""

from steelyard.ratings.check import Check
from steelyard.ratings.fastest import Fastest, fastest
from steelyard.ratings.judge import (
    SURE,
    TIGHT,
    UNSURE,
    VERDICTS,
    Judgement,
    above,
    judge,
    judged,
    judgements,
    refuses,
    severity,
    verdict,
    verdicts,
    worst,
)
from steelyard.ratings.limit_status import LIKELY, LimitStatus, Verdict
from steelyard.ratings.limits import checks
from steelyard.ratings.questions import Question, asked_of_all, questions
from steelyard.ratings.rulebook import Rule, Rulebook, load_rulebook

__all__ = [
    "LIKELY",
    "SURE",
    "TIGHT",
    "UNSURE",
    "VERDICTS",
    "Check",
    "Fastest",
    "Judgement",
    "LimitStatus",
    "Question",
    "Rule",
    "Rulebook",
    "Verdict",
    "above",
    "asked_of_all",
    "checks",
    "fastest",
    "judge",
    "judged",
    "judgements",
    "load_rulebook",
    "questions",
    "refuses",
    "severity",
    "verdict",
    "verdicts",
    "worst",
]
