"""What stands on a card: words and numbers ready to set, no layout. Frozen; both doors' forms."""

from dataclasses import dataclass
from typing import Literal

from steelyard.ratings import Verdict
from steelyard.words.headline import Run

Paper = Literal["letter", "a4"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One large number: what it is, the number, its spread or unit, and how it stands."""

    title: str
    number: str
    spread: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows of words under a title; `left` columns are flush left; `more` says what was cut."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    left: tuple[int, ...]
    more: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Sentences under a title; `more` says what was cut, `source` on whose word they stand;
    `ticked` where a person goes through them with a pen."""

    title: str
    lines: tuple[str, ...]
    more: str
    source: str
    ticked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """One QR code: its text, its drawing (SVG), modules a side with the quiet zone, side in mm."""

    text: str
    svg: str
    modules: int
    side: float

    @property
    def module(self) -> float:
        """Size of one module as printed, mm."""
        return self.side / self.modules


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """The rig from the side with its loads as columns, without words (SVG), by width over height;
    `labels` are the middles of as many equal cells below it as there are loads."""

    svg: str
    aspect: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """Everything on the two sides. Front: to `reminder`; back: the rest.

    shape, notch: the mark, and the deciding column's end enlarged, as SVG, the latter empty where
    there is none; doubts: what must be seen before the answer is trusted; owner, adviser: names to
    be signed beside, empty where a line is to be filled in by hand; day: as it is written.
    """

    name: str
    parts: str
    verdict: Verdict
    word: str
    shape: str
    notch: str
    reason: tuple[Run, ...]
    do: str
    doubts: tuple[str, ...]
    owner: str
    adviser: str
    day: str
    sentence: str
    stage: str
    unit: str
    picture: Picture
    loads: tuple[Figure, ...]
    pressures_title: str
    pressures: tuple[Figure, ...]
    reminder: str
    limits: Table
    trip: Table
    tyres: Table
    notes: tuple[Section, ...]
    walk: Section
    swaying: Section
    cautions: tuple[str, ...]
    codes: tuple[Code, ...]
    code_words: str
    made: str
    paper: Paper
