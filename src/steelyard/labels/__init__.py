"""Text read off a label or a scale ticket: its kind, and the numbers that it says twice.

Pure: text in, proposals out. A number is `checked` only by what the label itself says twice; a
relation between ratings may veto it and never confirms one.
"""

from steelyard.labels.label_kinds import KINDS, Kind
from steelyard.labels.reading import Reading, read_label
from steelyard.labels.relations import Proposal

__all__ = ["KINDS", "Kind", "Proposal", "Reading", "read_label"]
