"""Plans for random rigs with something wrong: what one move mends, or two; whether a plan trades
one danger for another; whether an answer is of the rig or of how its file is written; lines shown.

    python benchmarks/cured.py --rigs 200            any rig that a file may hold
    python benchmarks/cured.py --rigs 200 --packed   weighed rigs with nine things put anywhere
    python benchmarks/cured.py --rigs 40 --plans FILE        plans alone, into a file
    python benchmarks/cured.py --rigs 40 --beside FILE       and those of another commit judged too

Another commit's own package plans with `PYTHONPATH=its/src` and `--only`, the numbers of the rigs.
"""

import argparse
import itertools
import json
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import tomlkit
from click.testing import CliRunner

ROOT = Path(__file__).parents[1]
sys.path.append(str(ROOT))

from benchmarks.cargo import facts  # noqa: E402
from tests.random_rigs import rig as random_rig  # noqa: E402
from tests.rewritten import halved, mirrored, reordered  # noqa: E402

from steelyard.cli import main as command  # noqa: E402
from steelyard.files import parse_rig  # noqa: E402
from steelyard.rig import Rig  # noqa: E402
from steelyard.stowing.arrange import arranged, believed  # noqa: E402
from steelyard.stowing.stow import Stowed, stow  # noqa: E402

COMMANDS = ("check", "sway", "road", "fit", "stow --seconds 0.5", "weigh --next")
LINES, COLUMNS = 30, 80
NEAR = 1.0
"""kg of the ball within which two answers are the same, each being proven to 2 lb."""
TIGHT = 0.025


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A rig with something wrong, and its plan."""

    number: int
    table: dict[str, Any]
    rig: Rig
    found: Stowed


def parsed(table: dict[str, Any]) -> Rig:
    """The rig of a table as a file has it."""
    return parse_rig(tomlkit.dumps(table))


def packed_rig(number: int) -> dict[str, Any]:
    """A weighed rig of nine things put anywhere in six places, left, middle and right."""
    data = facts(9, 6, 2, number, 0.5)
    for place, side in zip(data["places"].values(), itertools.cycle(("0", "18", "-18"))):
        place["offset"] = f"{side} in"
    if "everything_listed" not in Rig.model_fields:
        del data["everything_listed"]
    return {"format": 1, **data}


def cases(numbers: Iterable[int], *, packed: bool) -> Iterator[Case]:
    """Rigs that can be asked, of which something that the load touches is wrong."""
    for number in numbers:
        try:
            table = (packed_rig if packed else random_rig)(number)
            rig = parsed(table)
            found = stow(rig)
        except ValueError:  # refused, in words
            continue
        if _wrong(found):
            yield Case(number=number, table=table, rig=rig, found=found)


def _wrong(found: Stowed) -> bool:
    """Whether a limit that things aboard weigh on does not hold as surely as is asked; taken as so
    of a commit that does not say, whose rigs are picked by number."""
    return bool(getattr(found, "wrong", True))


def sooner(case: Case, plan: dict[str, str], *, slid: bool = True) -> bool:
    """Whether too little damping is likelier by a plan than now at any stage, and beyond 2.5 %."""
    from steelyard.assessment.damped import damped
    from steelyard.scene import opened
    from steelyard.stowing.slides import moved

    now_ = scene = opened(case.rig)
    for one in case.found.slides if slid else ():
        scene = moved(scene, one.item, one.to)
    packed = arranged(scene.rig, plan)
    after = damped(opened(packed, believed(scene.estimate, scene.rig, packed)))
    pairs = zip(damped(now_), after, strict=False)
    return any(new.undriven > max(old.undriven, TIGHT) for old, new in pairs)


def ball(found: Stowed) -> float | None:
    """kg the ball is from its target by a plan."""
    if found.found is None or not found.found.goals:
        return None
    return found.found.goals[0].value


def same(one: Stowed, two: Stowed, *, exact: bool) -> bool:
    """Whether two answers leave the same at home, and bring the ball as near."""
    near = [ball(each) for each in (one, two)]
    if (near[0] is None) != (near[1] is None) or set(one.left) != set(two.left):
        return False
    if near[0] is not None and near[1] is not None and abs(near[0] - near[1]) > NEAR:
        return False
    if not exact:
        return True
    plans = [each.found.plan if each.found else None for each in (one, two)]
    cures = [each.cure.found.plan if each.cure else None for each in (one, two)]
    return plans[0] == plans[1] and cures[0] == cures[1]


def rewritten(case: Case, tally: Counter[str]) -> Iterator[str]:
    """Ways of writing the file in which the answer differs."""
    tally["order"] += 1
    if not same(case.found, stow(parsed(reordered(case.table, case.number))), exact=True):
        yield "order"
    other = mirrored(case.table)
    if case.table.get("people"):
        tally["mirror"] += 1
        if not same(case.found, stow(parsed(other)), exact=False):
            yield "mirror"
    pair = halved(case.table)
    if pair is None:
        return
    whole, two = (stow(parsed(table)) for table in pair)
    tally["split"] += 1
    if whole.found is None or whole.left or whole.weigh:
        return
    aim = [ball(one) for one in (whole, two)]
    if two.found is None or two.left or (aim[0] or 0.0) + 2 * NEAR < (aim[1] or 0.0):
        yield "split"
    elif whole.cure and (two.cure is None or len(two.cure.moves) > len(whole.cure.moves) + 1):
        yield "split cure"


def printed(case: Case) -> Iterator[tuple[str, int, int]]:
    """Each command, its lines and its widest line."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rig.toml"
        path.write_text(tomlkit.dumps(case.table), encoding="utf-8")
        for words in COMMANDS:
            name, *more = words.split()
            lines = CliRunner().invoke(command, [name, str(path), *more]).output.splitlines()
            yield name, len(lines), max(map(len, lines), default=0)


def counted(case: Case, tally: Counter[str], *, besides: bool) -> None:
    """What is counted of one rig."""
    found = case.found
    tally["rigs"] += 1
    if found.found is not None and found.order is not None:
        tally["plans"] += 1
        tally["moves of plans"] += len(found.order.moves)
        tally["plans that leave something home"] += bool(found.left)
        tally["plans that make sway likelier"] += sooner(case, found.found.plan)
    if found.cure is not None:
        tally["cures"] += 1
        tally[f"cured by {len(found.cure.moves)}"] += 1
        tally["moves of cures"] += len(found.cure.moves)
        tally["cures that make sway likelier"] += sooner(case, found.cure.found.plan)
    elif found.found is not None:
        tally["no cure, but a plan" + (" as it is packed" if not found.order.moves else "")] += 1
    for way in rewritten(case, tally) if besides else ():
        tally[f"{way} fails"] += 1
        print(f"rig {case.number}: {way}", flush=True)


def main() -> None:
    """Print what was counted."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--rigs", type=int, default=200)
    words.add_argument("--packed", action="store_true", help="weighed rigs, packed anyhow")
    words.add_argument("--first", type=int, default=0)
    words.add_argument("--only", type=lambda text: [int(n) for n in text.split(",")])
    words.add_argument("--written", type=int, help="rigs written otherwise too; all if unsaid")
    words.add_argument("--plans", type=Path)
    words.add_argument("--beside", type=Path)
    asked = words.parse_args()
    tally: Counter[str] = Counter()
    most: dict[str, tuple[int, int]] = {}
    told: dict[str, Any] = {}
    other = json.loads(asked.beside.read_text()) if asked.beside else {}
    for case in islice(
        cases(asked.only or itertools.count(asked.first), packed=asked.packed), asked.rigs
    ):
        plan = case.found.found.plan if case.found.found else None
        moves = len(case.found.order.moves) if case.found.order else 0
        told[str(case.number)] = {"plan": plan, "moves": moves, "left": len(case.found.left)}
        if asked.plans:
            continue
        whole = asked.written is None or tally["rigs"] < asked.written
        counted(case, tally, besides=whole and not asked.beside)
        for name, lines, wide in printed(case) if not asked.beside else ():
            was = most.get(name, (0, 0))
            most[name] = (max(was[0], lines), max(was[1], wide))
            if lines > LINES or wide > COLUMNS:
                print(f"rig {case.number}: {name} {lines} lines of {wide}", flush=True)
        before = other.get(str(case.number))
        if before and before["plan"] is not None:
            tally["other: plans"] += 1
            tally["other: moves of plans"] += before["moves"]
            tally["other: plans that leave something home"] += before["left"] > 0
            tally["other: sway likelier"] += sooner(case, before["plan"], slid=False)
    if asked.plans:
        asked.plans.write_text(json.dumps(told))
    for name, count in tally.items():
        print(f"{name}: {count}")
    print(f"lines and columns at most: {most}")
    print(f"rigs by number: {','.join(told)}")


if __name__ == "__main__":
    main()
