"""What was learned, in sentences."""

from collections.abc import Sequence
from typing import Final

from steelyard.learning import Learnt
from steelyard.quantity import Z95
from steelyard.words.weighed import counted

NAMES: Final = {
    "empty_share_of_gvwr": "empty weight over rating",
    "front_share": "front axle's share",
    "options_share": "options over empty weight",
    "payload_ratio": "weight over GVWR less payload",
    "tongue_share": "tongue share, empty",
    "weight_share_of_gvwr": "weight over rating",
}
"""What each typical value is."""
NO_SAMPLE: Final = (
    "Rigs that come to be weighed are no random sample: people weigh what seems wrong, so these"
    " values may lean that way. What nobody listed counts as the trailer's own."
)


def spread_words(value: float, sd: float) -> str:
    """A share of 1 with the half-width of its 95 % interval, in per cent."""
    return f"{100 * value:.1f} ± {100 * Z95 * sd:.1f} %"


def moved_words(row: Learnt) -> str:
    """How far a value moved, in points of a per cent."""
    return f"{100 * (row.value - row.shipped):+z.1f}"


def sharper_words(row: Learnt) -> str:
    """How much sharper, or wider, the next unweighed rig will be known."""
    part = round(100 * row.sharper)
    return "as before" if part == 0 else f"{abs(part)} % {'sharper' if part > 0 else 'wider'}"


def sentence(row: Learnt) -> str:
    """One value as a sentence of its own."""
    return (
        f"{counted(row.rigs, 'rig')}: {spread_words(row.shipped, row.shipped_sd)} shipped,"
        f" {spread_words(row.value, row.sd)} now; the next rig {sharper_words(row)}"
    )


def never_weighed(rows: Sequence[Learnt], part: str, styles: Sequence[str]) -> str:
    """The styles or classes that no rig says anything of."""
    known = {row.style for row in rows if row.part == part}
    left = [style for style in styles if style not in known]
    noun = "trailers" if part == "trailer" else "vehicles"
    return f"Never weighed, so as shipped: {noun} {', '.join(left)}." if left else ""
