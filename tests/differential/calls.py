"""Which commands are asked of each rig: every rig the quick ones, some rigs the slow ones."""

from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any, Final

import tomlkit
from tests.differential.absurd import text
from tests.differential.rigs import TRAILERS, VEHICLES, rig
from tests.differential.tickets import recording, sheet, ticket

Call = tuple[str, ...]
RIG: Final = "rig.toml"
COPY: Final = "copy.toml"
"""The same rig, for commands that write."""
AMPLE: Final = "120"
"""s for `stow`, which shall end by itself long before."""
MATCHED: Final = 3
"""Rigs before this one that `match` and `compare` set beside it."""


def lay(folder: Path, number: int) -> list[Call]:
    """Write the files of rig `number` into a folder of its own; the calls to make there, in order.

    The files are written once, and both commits read copies of them.
    """
    folder.mkdir(parents=True)
    facts = rig(number)
    asked = list(calls(number, facts))
    for name in (RIG, COPY):
        (folder / name).write_text(text(number, rig(number)), encoding="utf-8")
    for name, seed, date in (("ticket", number, "2026-05-03"), ("later", -number, "2026-06-07")):
        slip = {**ticket(seed, facts), "date": date}
        (folder / f"{name}.toml").write_text(tomlkit.dumps(slip), encoding="utf-8")
    (folder / "ticket.csv").write_text(sheet(number, facts), encoding="utf-8")
    (folder / "swing.csv").write_text(recording(number), encoding="utf-8")
    (folder / "others").mkdir()
    for other in range(max(0, number - MATCHED), number):
        (folder / "others" / f"{other}.toml").write_text(text(other, rig(other)), encoding="utf-8")
    return asked


def calls(number: int, facts: dict[str, Any]) -> Iterator[Call]:
    """The calls for rig `number`, whose tables are `facts`."""
    dice = Random(f"calls {number}")
    yield from _answers(number, facts, dice)
    yield from _weighings(number)
    yield from _pairs(number, facts)
    yield from _plans(number, facts, dice)
    if number % 4 == 0:
        yield _new(dice)
    if number == 0:
        yield from (("demo", "--into", "demo"), ("schema",), ("check", "missing.toml"))


def _answers(number: int, facts: dict[str, Any], dice: Random) -> Iterator[Call]:
    for command in ("check", "ledger", "trip", "sway", "road", "fit"):
        yield (command, RIG, "--json")
        if number % 12 == ord(command[0]) % 12:
            yield (command, RIG, "--units", dice.choice(("us", "metric")))
    stage = dice.choice([*facts["stages"], "never"])
    if number % 2:
        yield (dice.choice(("check", "ledger", "road", "fit")), RIG, "--json", "--stage", stage)
    if number % 4 == 0:
        yield (dice.choice(("check", "trip", "ledger")), RIG, "--json", "--tight", "10 %")
    odd: tuple[Call, ...] = (
        ("road", RIG, "--json", "--grade", "12 %", "--length", "8 km", "--speed", "50 km/h"),
        ("road", RIG, "--json", "--friction", "0.4 +- 0.1", "--slowing", "0.5 g"),
        ("fit", RIG, "--json", "--restore", "100 %", "--steps", "fixed"),
        ("fit", RIG, "--json", "--steps", "0 in,2 in,-2 in", "--tolerance", "1 in"),
        ("sway", RIG, "--json", "--speeds", "40 mph,65 mph,120 km/h", "--ratio", "0.15"),
        ("check", RIG, "--tight", "200 %"),
        ("sway", RIG, "--speed", "65"),
        ("check", RIG, "--all"),
    )
    if number % 2 == 0:
        yield odd[number // 2 % len(odd)]
    if number % 10 == 3:
        yield ("sway", RIG, "--json", "--gust", "12 m/s", "--runs", "16")
        yield ("sway", RIG, "--json", "--manoeuvre", dice.choice(("truck", "lane-change")))
        yield ("sway", RIG, "--json", "--recording", "swing.csv")
    if number % 10 == 7:
        yield ("card", RIG, "--to", "card.html")


def _weighings(number: int) -> Iterator[Call]:
    slip = "ticket.csv" if number % 5 == 4 else "ticket.toml"
    yield ("weigh", RIG, slip, "--json")
    if number % 2:
        command = ("check", "ledger", "sway", "road", "trip")[number // 2 % 5]
        yield (command, RIG, "--json", "--with", slip)
    if number % 3 == 0:
        yield ("weigh", RIG, "--next", "--json", *(("--gear", "platform") if number % 2 else ()))
    if number % 6 == 1:
        yield ("weigh", RIG, slip)
        yield ("weigh", RIG, slip, "--next", "--json")
        yield ("weigh", RIG, "ticket.toml", "--log")
        yield ("weigh", RIG, "later.toml", "--log")
        yield ("log", "list", "--json")
        yield ("log", "show", "1", "--json")
        yield ("log", "compare", "1", "2", "--json")
        yield ("log", "drift", f"rig {number}", "--json")
        yield ("log", "export", "--csv")
        yield ("check", RIG, "--json", "--with", "log:1")


def _pairs(number: int, facts: dict[str, Any]) -> Iterator[Call]:
    if number:
        yield ("compare", RIG, f"others/{number - 1}.toml", "--json")
    if len(facts["stages"]) > 1 or number % 12 == 2:
        yield ("compare", RIG, "--stage-a", "stage0", "--stage-b", "stage1", "--json")
    if number % 10 == 8:
        help_ = () if number % 20 == 8 else ("--no-help",)
        yield ("match", RIG, "others", "--json", "--draws", "64", *help_)
        yield ("match", "others", "others", "--no-help", "--draws", "32")


def _plans(number: int, facts: dict[str, Any], dice: Random) -> Iterator[Call]:
    item, place = dice.choice(list(facts["items"])), dice.choice(list(facts["places"]))
    tanks = list(facts["trailer"].get("tanks", {"fresh": {}}))
    yield ("move", RIG, item, "--to", place, "--json")
    if number % 4 == 1:
        yield ("move", RIG, "--water", f"{tanks[0]}=60 %", "--json")
    if number % 4 == 2:
        yield ("move", COPY, item, "--to", place, "--write")
    if number % 8 == 0 or number % 10 == 5:
        yield ("stow", RIG, "--json", "--seconds", AMPLE)
    if number % 10 == 1:
        yield ("stow", COPY, "--write", "--target", "13 %", "--keep", item, "--seconds", AMPLE)
        yield ("stow", RIG, "--slide", item, "--json")
    wet = "fresh" in tanks and facts["stages"]
    if (wet and number % 4 == 0) or number % 60 == 6:
        yield ("stow", RIG, "--json", "--free-water", "fresh", "--seconds", AMPLE)


def _new(dice: Random) -> Call:
    words = ["new", "new.toml", "--name", "mine"]
    words += ["--vehicle", dice.choice(tuple(VEHICLES)), "--trailer", dice.choice(tuple(TRAILERS))]
    for option, value in (
        ("--region", dice.choice(("europe", "north-america", "atlantis"))),
        ("--vehicle-gvwr", "7200 lb"),
        ("--payload", "800 kg"),
        ("--empty-weight", dice.choice(("5000 lb", "heavy"))),
        ("--tongue-weight", "600 lb"),
        ("--axle-station", "4.8 m"),
    ):
        words += [option, value] if dice.random() < 0.5 else []
    return tuple(words)
