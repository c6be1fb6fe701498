"""What `trip` gives: every stage, and what flowed between."""

from dataclasses import dataclass

from steelyard.assessment import Assessment
from steelyard.drawing.trip import trip_picture
from steelyard.travel import Flow
from steelyard.words.assessed import system_of


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Trip:
    """Every stage assessed, and what flowed between one stage and the next."""

    assessment: Assessment
    flows: tuple[Flow, ...]

    def __repr__(self) -> str:
        return f"<Trip of {self.assessment.rig.name}: {self.assessment.verdict}>"

    def _repr_svg_(self) -> str:
        return trip_picture(self.assessment, system_of(self.assessment, None))
