"""Weighings that were kept, in words and tables of 80 columns."""

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import Any, Final

from steelyard.cli.words import WIDTH, Row, bullets, paragraph, table
from steelyard.logbook.change import Change, Comparison, Drift, Pair, Trend, disagrees
from steelyard.logbook.records import Logged, LoggedReading, Summary
from steelyard.logbook.sound import wall_clock
from steelyard.quantity import Z95, System, percent, to_border, with_spread
from steelyard.quantity.units import BORDER_UNIT, dimension_of
from steelyard.words.assessed import MARKS
from steelyard.words.weighed import counted

_NONE: Final = "-"
_DOUBT: Final = MARKS["exceeded"][0]


SEASON = 14.0
"""Days below which a trend is not told per 100 days: it would be mostly weather."""


def read_in(logged: Logged, asked: str | None) -> System:
    """The reader's units: as asked, else those in which most readings were taken."""
    if asked is not None:
        return "us" if asked == "us" else "metric"
    units = [reading.unit for reading in logged.weighing.readings]
    metric = sum(unit in ("kg", "t", "g", "m", "cm", "mm", "kPa", "bar", "L") for unit in units)
    return "metric" if 2 * metric > len(units) else "us"


def _clip(text: str, width: int) -> str:
    """On one line, and no longer than `width`."""
    flat = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return flat if len(flat) <= width else flat[: max(width - 1, 0)] + "…"


def _day(taken: str) -> str:
    return taken[:10]


def listed(lines: Sequence[Summary], system: System) -> str:
    """A line a weighing; the names share what the numbers leave of the width."""
    unit = BORDER_UNIT[system]["mass"]
    head = ("id", "date", "rig", "place", f"trailer, {unit}", f"tongue, {unit}", "share, %")
    rows = [
        (
            f"{line.id} {_DOUBT}" if disagrees(line) else str(line.id),
            _day(line.taken),
            _clip(line.rig_name, WIDTH),
            _clip(line.place or _NONE, WIDTH),
            _bare(line.trailer_kg, line.trailer_sd_kg, system),
            _bare(line.tongue_kg, line.tongue_sd_kg, system),
            f"{100 * line.share:z.1f} ± {100 * Z95 * line.share_sd:z.1f}",
        )
        for line in lines
    ]
    lines_ = [_fitted([head, *rows], (2, 3)), *_doubt([one.id for one in lines if disagrees(one)])]
    return "\n".join(lines_)


def _doubt(numbers: Sequence[int]) -> Iterator[str]:
    """That the readings of some weighings do not agree; nothing where all do."""
    if numbers:
        many = "weighings" if len(numbers) > 1 else "weighing"
        named = ", ".join(map(str, numbers[:12])) + (" …" if len(numbers) > 12 else "")
        yield paragraph(
            f"{_DOUBT} The readings of {many} {named} do not agree, or something is asked of them:"
            " look at them with `log show` before trusting their numbers."
        )


def _bare(kg: float, sd: float, system: System) -> str:
    """`812 ± 34`, for a column that names the unit."""
    return " ".join(with_spread(kg, sd, "mass", system).split(" ")[:-1])


def _fitted(rows: Sequence[Row], clipped: tuple[int, ...]) -> str:
    """A table of 80 columns: the text columns share what the others leave."""
    widths = [max(len(row[c]) for row in rows) for c in range(len(rows[0]))]
    left = WIDTH - 2 * len(widths) - sum(w for c, w in enumerate(widths) if c not in clipped)
    for done, c in enumerate(sorted(clipped, key=lambda c: widths[c])):
        widths[c] = max(min(widths[c], left // (len(clipped) - done)), 5)
        left -= widths[c]
    cut = [
        [_clip(cell, widths[c]) if c in clipped else cell for c, cell in enumerate(row)]
        for row in rows
    ]
    return table(cut, left=clipped)


def shown_whole(found: Logged, system: System, asked: Sequence[str] = ()) -> Iterator[str]:
    """One weighing: its answer, what is asked of it, and each reading against what was to be
    expected."""
    w = found.weighing
    place = f" at {_clip(w.place, 200)}" if w.place else ""
    yield paragraph(f"Weighing {found.id}: {_clip(w.rig_name, 200)}, {w.taken}{place}")
    if w.note:
        yield paragraph(w.note)
    yield ""
    yield f"  trailer weight  {with_spread(w.trailer_kg, w.trailer_sd_kg, 'mass', system)}"
    yield f"  tongue weight   {with_spread(w.tongue_kg, w.tongue_sd_kg, 'mass', system)}"
    yield f"  tongue share    {percent(w.share)} ± {percent(Z95 * w.share_sd)}"
    if w.chance is not None and not asked:
        yield paragraph(
            f"Readings that disagree as much or more: {percent(w.chance)} of the time when nothing"
            " is wrong.",
            "  ",
        )
    if disagrees(w) and not asked:
        yield from _doubt([found.id])
    for question in asked:
        yield paragraph(
            f"{_DOUBT} Asked, and what it is asked of counts for next to nothing: {question}"
        )
    yield ""
    head = ("pass", "reading", "as written", "read", "believed", "off, sd")
    yield _fitted([head, *(_reading_row(one, system) for one in w.readings)], (0, 1, 2))
    yield paragraph("Believed: with the reading itself; off: from what all the others say.", "  ")
    yield ""
    yield paragraph(
        f"Written {found.written} by steelyard {w.version}; --json holds the posterior of"
        f" {len(w.names)} parameters, the ticket and the rig file."
    )


def _reading_row(one: LoggedReading, system: System) -> Row:
    off = _NONE if one.standardised is None else f"{one.standardised:+z.1f}"
    read, predicted = (_in_unit(one, si, system) for si in (one.value_si, one.predicted_si))
    return (one.pass_name, one.name, one.text, read, predicted, off)


def _in_unit(one: LoggedReading, si: float | None, system: System) -> str:
    """A reading's number in the reader's unit for what its own unit measures."""
    dimension = dimension_of(one.unit)
    if si is None:
        return _NONE
    if dimension is None:
        return f"{si:,.3g} {one.unit}".rstrip()
    digits = 1 if dimension == "share" or (dimension != "mass" and system == "us") else 0
    number = to_border(si, dimension, system)
    return f"{number:z,.{digits}f} {BORDER_UNIT[system][dimension]}"


def compared(found: Comparison, system: System) -> Iterator[str]:
    """Two weighings side by side, their answers and their readings."""
    a, b = found.first, found.second
    head = ("", f"#{a.id}", f"#{b.id}", "change")
    dates = ("date", _day(a.weighing.taken), _day(b.weighing.taken), "")
    yield table([head, dates, *_changes(found, lambda change: change, system)])
    yield ""
    rows = [_pair_row(pair, system) for pair in found.readings]
    yield _fitted([("pass", "reading", f"#{a.id}", f"#{b.id}", "change"), *rows], (0, 1))
    notes = ["± is the half-width of a 95 % interval; the two weighings are taken as independent."]
    if a.weighing.rig_name != b.weighing.rig_name:
        notes.append(f"Two rigs: {a.weighing.rig_name} and {b.weighing.rig_name}.")
    elif a.weighing.rig_hash != b.weighing.rig_hash:
        notes.append("The rig file was changed between them.")
    yield ""
    yield from bullets([*_doubt(found.doubtful), *notes])


def _changes(
    found: Comparison | Drift, of: Callable[[Any], Change], system: System
) -> Iterator[Row]:
    for title, weight in (("trailer weight", found.trailer_kg), ("tongue weight", found.tongue_kg)):
        one = of(weight)
        yield (
            title,
            with_spread(one.first, one.first_sd, "mass", system),
            with_spread(one.second, one.second_sd, "mass", system),
            _signed(one.change, one.sd, system),
        )
    one = of(found.share)
    yield (
        "tongue share, %",
        f"{100 * one.first:z.1f} ± {100 * Z95 * one.first_sd:z.1f}",
        f"{100 * one.second:z.1f} ± {100 * Z95 * one.second_sd:z.1f}",
        _points(one.change, one.sd),
    )


def _signed(kg: float, sd: float, system: System) -> str:
    text = with_spread(kg, sd, "mass", system)
    return text if text.startswith("-") else f"+{text}"


def _points(share: float, sd: float) -> str:
    return f"{100 * share:+z.1f} ± {100 * Z95 * sd:z.1f}"


def _pair_row(pair: Pair, system: System) -> Row:
    a, b = pair.first, pair.second
    cells = (_NONE if one is None else _in_unit(one, one.value_si, system) for one in (a, b))
    alike = a and b and dimension_of(a.unit) == dimension_of(b.unit)
    change = _in_unit(b, b.value_si - a.value_si, system) if a and b and alike else _NONE
    return (pair.pass_name, pair.name, *cells, change)


def drifted(found: Drift, system: System) -> Iterator[str]:
    """What a rig gained or lost, in a sentence and a table."""
    first, last = _day(found.first.taken), _day(found.last.taken)
    ends = (wall_clock(one.taken)[:10] for one in (found.last, found.first))
    end, start = (date.fromisoformat(one) for one in ends)
    ball, did = found.tongue_kg.ends, _told(found.trailer_kg.ends, "trailer", system)
    if abs(ball.change) > Z95 * ball.sd:
        did = f"{did.replace('no change', 'no change of the trailer')}; "
        did += f"{_told(ball, 'tongue', system)},"
    yield paragraph(
        f"{_clip(found.rig_name, 60)}: {did} from {first} to"
        f" {last} ({(end - start).days:,} days, {counted(found.weighings, 'weighing')})."
    )
    yield ""
    slopes = (
        _slope(found.trailer_kg, lambda x, sd: _signed(x, sd, system)),
        _slope(found.tongue_kg, lambda x, sd: _signed(x, sd, system)),
        _slope(found.share, _points),
    )
    rows = _changes(found, lambda trend: trend.ends, system)
    head: list[str] = ["", first, last, "change", "per 100 days"]
    whole = [head, *([*row, slope] for row, slope in zip(rows, slopes, strict=True))]
    yield table(whole if found.days >= SEASON else [row[:-1] for row in whole])
    yield ""
    yield from bullets([*_doubt(found.doubtful), *_cautions(found)])


def _told(change: Change, part: str, system: System) -> str:
    """What trailer or tongue did, and no more than the spread allows to say."""
    size = with_spread(abs(change.change), change.sd, "mass", system)
    number, unit = size.split(" ± ")[0], size.split(" ")[-1]
    around = f"± {size.split(' ± ')[1].removesuffix(f' {unit}')}"
    if abs(change.change) <= Z95 * change.sd:
        way = "more" if change.change >= 0 else "less"
        return f"no change beyond the spread, {number} {unit} {way} ({around})"
    way = "gained" if change.change > 0 else "lost"
    return f"the {part} {way} {number} {unit} ({around})"


def _slope(trend: Trend, written: Callable[[float, float], str]) -> str:
    if trend.per_100_days is None or trend.per_100_days_sd is None:
        return _NONE
    return written(trend.per_100_days, trend.per_100_days_sd)


def _cautions(found: Drift) -> Iterator[str]:
    yield "± is the half-width of a 95 % interval. Weights are as loaded at each weighing."
    scatter = found.trailer_kg.scatter
    if scatter is not None and scatter > 2:
        yield (
            f"The trailer's weights lie {scatter:z.1f} times wider about a straight line than their"
            " spreads say: it was loaded otherwise each time, and the slope's spread is widened so."
        )
    if found.rig_files > 1:
        yield f"The rig file was changed between them: {found.rig_files} versions."
