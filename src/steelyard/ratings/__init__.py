"""Limits, rulebooks, tyres, standings: what a load must stay within, and whether it does."""

from steelyard.ratings.check import LIKELY, Check, LimitStatus, Verdict
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
from steelyard.ratings.limits import checks
from steelyard.ratings.questions import Question, asked_of_all, doubted, questions
from steelyard.ratings.rulebook import Rule, Rulebook, load_rulebook
from steelyard.ratings.tyre_capacity import Fastest, fastest

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
    "doubted",
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
