"""What a weighing says, in sentences."""

from dataclasses import replace
from typing import Final

from steelyard.fault import said
from steelyard.quantity import Z95, System, percent, shown, to_border, with_spread
from steelyard.rig import Rig
from steelyard.weighing.advise import Advice
from steelyard.weighing.carry import Carried
from steelyard.weighing.excess import Given, excesses, given
from steelyard.weighing.pass_differences import steps
from steelyard.weighing.reconcile import Judged, Reconciled
from steelyard.weighing.spans import Spanning
from steelyard.words.assessed import MARKS, chance, doubt, measured, room
from steelyard.words.unstated import plainly

AGREES, NOT = MARKS["within"][0], MARKS["exceeded"][0]
NEAR: Final = 1.0
SOME: Final = 2.0
"""sd: two readings in three lie within the first, nineteen in twenty within the second."""


def counted(n: int, word: str) -> str:
    """`1 pass`, `3 passes`."""
    many = f"{word}es" if word.endswith("s") else f"{word}s"
    return f"{n} {word if n == 1 else many}"


def heading(found: Reconciled) -> str:
    """How many readings in how many passes, when and where."""
    ticket = found.weighed.ticket
    when = " ".join(part for part in (ticket.date, ticket.place and f"at {ticket.place}") if part)
    words = f"{counted(found.whole.degrees, 'reading')} in {counted(len(ticket.passes), 'pass')}"
    return f"{words}, {when}" if when else words


def agreement(found: Reconciled, system: System) -> str:
    """Whether the readings agree with each other, and what they say that the file does not."""
    among, file = found.among, found.file
    worse = chance(among.chance)
    if not among.holds:
        said = f"{NOT} The readings do not agree with each other (chance of worse: {worse})."
        return f"{said} {_wider(found)}"
    if found.slips:
        doubt = MARKS["cannot tell"][0]
        return f"{doubt} Were the readings written down as they were read? {_wider(found)}"
    off = " ".join((*excess_lines(found, system), *_listed(found, system)))
    if not among.degrees:
        return f"{AGREES} {off}" if off else _too_few(found)
    if off:
        return f"{AGREES} The readings agree with each other. {off}"
    if not file.holds:
        return f"{AGREES} The readings agree with each other (chance of worse: {worse})."
    chances = f"chances of worse: {worse} and {chance(file.chance)}"
    return f"{AGREES} The readings agree with each other and the rig file ({chances})."


def _wider(found: Reconciled) -> str:
    """What is believed of readings that are not to be trusted."""
    if found.wider == 1.0:
        return "Until that is clear, those asked about count for next to nothing."
    return f"Until that is clear, errors are taken {found.wider:,.1f} times as large."


def _too_few(found: Reconciled) -> str:
    """Of readings that nothing but the file can be held against."""
    said, they = "The readings are too few to be held against each other", "they agree"
    if found.whole.degrees == 1:
        said, they = "One reading has no other to be held against", "it agrees"
    if not found.file.holds:
        return f"{MARKS['unknown'][0]} {said}."
    worse = chance(found.file.chance)
    return f"{AGREES} {said}; {they} with the rig file (chance of worse: {worse})."


def excess_lines(found: Reconciled, system: System) -> tuple[str, ...]:
    """How much heavier or lighter than listed either body is, where the readings tell."""
    return tuple(
        f"The {one.body} is {with_spread(abs(one.kg), one.sd_kg, 'mass', system)}"
        f" {'heavier' if one.kg > 0 else 'lighter'} than the file lists:"
        f" {'what is missing' if one.kg > 0 else 'what is not aboard, or lighter'}?"
        for one in excesses(found)
    )


def _listed(found: Reconciled, system: System) -> tuple[str, ...]:
    """What a body that is heavier or lighter is listed at, the usual equipment included."""
    sums = [f"{one.body} {shown(one.listed_kg, 'mass', system)}" for one in excesses(found)]
    return (f"(Listed, with what is usual: {', '.join(sums)}.)",) if sums else ()


def file_line(found: Reconciled, system: System) -> str | None:
    """That the readings do not agree with the file, and what of it gives way; nothing of readings
    that are not to be trusted."""
    if found.file.holds or found.slips or not found.among.holds:
        return None
    words = [
        f"{plainly(one.name)}, {_number(one.before, one, system)} before,"
        f" {_number(one.after, one, system)} now"
        for one in given(found)
    ]
    they = "It does" if found.whole.degrees == 1 else "They do"
    said = f"{MARKS['tight'][0]} {they} not agree with the rig file"
    said += f" (chance of worse: {chance(found.file.chance)})."
    return f"{said} What gives way most: {'; '.join(words)}." if words else said


def reading_lines(found: Reconciled, system: System) -> tuple[str, ...]:
    """Whether the readings agree with each other and, where they do not with the file, with it."""
    lines = (agreement(found, system), file_line(found, system))
    return tuple(line for line in lines if line)


def _number(x: float, one: Given, system: System) -> str:
    return percent(x) if one.dimension == "share" else shown(x, one.dimension, system)


def rests_on(found: Reconciled) -> str | None:
    """That fewer was read than is unknown, if so."""
    unknown = len(found.full.names)
    if found.whole.degrees >= unknown:
        return None
    return (
        f"Readings: {found.whole.degrees}, unknowns of the rig: {unknown}. What the readings leave"
        " open rests on the rig file and typical values."
    )


def step_lines(found: Reconciled, system: System) -> tuple[str, ...]:
    """Passes over one scale with one load whose totals differ, and what may have happened; and the
    steps that a scale is taken to show."""
    lines = [(one.coarse.text, one.scale) for one in found.weighed.lines if one.coarse]
    taken = tuple(
        f"Every weight on a scale is a multiple of {step}: it is taken to show no finer steps."
        f" Where it does, state its graduation: under `[scales.{scale}]`, or in a column of that"
        " name."
        for step, scale in dict.fromkeys(lines)
    )
    return taken + tuple(
        f"“{one.first}” and “{one.second}” weighed the same load on the same scale:"
        f" {shown(one.first_kg, 'mass', system)} and"
        f" {shown(one.second_kg, 'mass', system)} in all,"
        f" {with_spread(abs(one.second_kg - one.first_kg), one.sd_kg, 'mass', system)} apart. Did"
        " somebody step on or off, or was the scale not at zero? Either pass may be the wrong one,"
        " so totals are told no closer than that: say it in the ticket, or weigh again."
        for one in steps(found.weighed)
    )


def out_lines(found: Reconciled) -> tuple[str, ...]:
    """Who may not have been aboard, asked."""
    end = "That would look the same: say it in the ticket, or weigh again."
    return tuple(f"Was {who}? {end}" for who in found.out)


def suspect_lines(one: Judged, system: System) -> tuple[str, ...]:
    """Which reading does not belong, by how much, and which others might be it."""
    off = read_number(abs(one.error), one, system)
    half = read_number(Z95 * one.error_sd, one, system)
    way = "too high" if one.error > 0 else "too low"
    words = f"Suspect: “{one.name}”. By all else that is known it is {off} ± {half} {way}"
    first = f"{words} ({abs(one.standardised):z.1f} sd)."
    if not one.alike:
        return (first,)
    names = ", ".join(f"“{name}”" for name in one.alike)
    return first, f"An error in {names} would look the same: read those again too."


def impossible(found: Reconciled) -> str:
    """Readings with which the rig could not stand."""
    slip = f" It was {said(replace(found.slips[0], asks=False))}." if found.slips else ""
    suspect = f" Suspect: “{found.suspect.name}”." if found.suspect else ""
    return f"The readings cannot all be right: no rig could stand like this.{slip}{suspect}"


def read_number(x: float, one: Judged, system: System) -> str:
    """A number of a reading in the reader's unit."""
    if one.dimension == "mass":
        return f"{to_border(x, 'mass', system):z,.0f} {'lb' if system == 'us' else 'kg'}"
    if one.dimension == "length":
        digits = 1 if system == "us" else 0
        unit = "in" if system == "us" else "mm"
        return f"{to_border(x, 'length', system):,.{digits}f} {unit}"
    return percent(x, 0)


def off_by(one: Judged, found: Reconciled) -> str:
    """How far a reading lies from what all the others say, in words."""
    size = f"{abs(one.standardised):z.1f} sd {'high' if one.standardised > 0 else 'low'}"
    suspect = None if found.slips else found.suspect
    if suspect is not None and one is suspect:
        return f"{NOT} does not belong: {size}"
    if suspect is not None and one.name in suspect.alike:
        return f"{NOT} could be the wrong one instead: {size}"
    if abs(one.standardised) <= NEAR:
        return f"{AGREES} agrees: {size}"
    if abs(one.standardised) <= SOME:
        return f"{AGREES} agrees, a little off: {size}"
    why = "further off than 19 in 20"
    if found.slips:
        why = "asked about, or at odds with what is"
    elif suspect is not None:
        why = "drawn off by the suspect, or wrong too"
    return f"{MARKS['tight'][0]} {why}: {size}"


def spanning_line(one: Spanning, system: System) -> str:
    """That a reading spans a rating, and what everything together says."""
    reading, limit = one.reading, one.standing
    read = f"{read_number(reading.value, reading, system)} ±"
    read += f" {read_number(Z95 * reading.own_sd, reading, system)}"
    return (
        f"“{reading.name}”, {read}, spans the {measured(limit.rating, limit, system)} rating:"
        f" this reading alone settles nothing. By all readings and the rig file {limit.title} is"
        f" {room(limit, system)}: {MARKS[limit.verdict]} ({doubt(limit)})."
    )


def contradicted_line(names: tuple[str, ...]) -> str | None:
    """What is stated now but was weighed otherwise, if anything."""
    return f"Stated now, but far from what was weighed: {', '.join(names)}." if names else None


def age_line(days: int) -> str:
    """That a weighing is old."""
    return (
        f"This weighing is {days} days old: tyres, springs and what rides along change in a season;"
        " weigh again before you lean on it."
    )


def changed_line(found: Carried) -> str | None:
    """What of the rig file has changed since it was weighed, if anything."""
    counts = (
        (len(found.restated), "stated anew"),
        (len(found.new), "new"),
        (len(found.gone), "gone"),
    )
    said = ", ".join(f"{n} {what}" for n, what in counts if n)
    return f"The rig file has changed since that weighing: of its values {said}." if said else None


def other_line(old: Rig, rig: Rig) -> str | None:
    """That a weighing is of another rig or another vehicle, if both are named."""
    unnamed = Rig.model_fields["name"].default
    names = (one.name if one.name != unnamed else None for one in (old, rig))
    for found, due in (tuple(names), (old.vehicle.title, rig.vehicle.title)):
        if found and due and found.casefold() != due.casefold():
            return f"That weighing is of “{found}”, and this file of “{due}”."
    return None


def advice_line(now: Advice) -> str:
    """How well the share is known now, and the chance that some limit is on its other side."""
    return (
        f"Now the share is known to ± {196 * now.share_sd_now:z.2f} points, and the chance that"
        " some load is on the other side of its limit than it looks is"
        f" {chance(now.wrong_now)}. After one more reading they would be:"
    )
