"""Ink on paper: the look all figures share; two colours that colour-blind people tell apart."""

from pathlib import Path
from typing import Any, Final

from matplotlib import rc_context
from matplotlib.figure import Figure

INK: Final = "#1b2530"
FAINT: Final = "#6b747d"
PAPER: Final = "#faf9f4"
BAND: Final = "#e8e4d8"
BLUE: Final = "#1f4e79"
OCHRE: Final = "#b0670f"
STYLE: Final[Any] = {
    "figure.facecolor": PAPER,
    "axes.facecolor": PAPER,
    "axes.edgecolor": FAINT,
    "axes.labelcolor": INK,
    "text.color": INK,
    "xtick.color": FAINT,
    "ytick.color": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "font.family": "sans-serif",
    "font.size": 10,
    "svg.fonttype": "path",
    "svg.hashsalt": "steelyard",
}


def save(figure: Figure, path: Path) -> None:
    """Write a figure as SVG or PNG, the same bytes for the same numbers."""
    kind = path.suffix.lstrip(".")
    metadata = {"Date": None} if kind == "svg" else {}
    with rc_context(STYLE):
        figure.savefig(path, format=kind, metadata=metadata, dpi=144, facecolor=PAPER)
