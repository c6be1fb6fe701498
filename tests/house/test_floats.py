"""Types tell the truth: where one says `float` there is no array, on passes over real columns."""

import ast
import re
import sys
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from inspect import getsource
from types import CodeType, FrameType
from typing import Any, Generic

import numpy as np
from pydantic import BaseModel

from steelyard.files.demo import demo_rigs
from steelyard.files.reader import parse_rig
from steelyard.matching.beliefs import tow_sides, towed_sides
from steelyard.matching.block_answers import block, drawn
from steelyard.matching.candidates import tow_of, towed_of
from steelyard.matching.pair_rows import DRAWS
from steelyard.matching.passes import Pass
from steelyard.quantity import F, N
from steelyard.ratings.judge import TIGHT
from steelyard.rig.base import Fact
from steelyard.sweeps.ranges import read_range, varied
from steelyard.sweeps.variants import Question, answered

CAMPER = parse_rig(demo_rigs()["perihelion-camper.toml"])
COLUMNS = {"Array", "F", "Floats", "N"}
"""Names by which an annotation allows a column."""
SWEPT = (
    "items.telescopes.station=10 ft..20 ft",
    "trailer.empty.tongue_weight=560 lb..720 lb",
    "vehicle.gvwr=6900 lb..7300 lb",
    "vehicle.rear.tyres.pressure=50 psi..75 psi",
    "vehicle.rear.tyres.max_load=900 kg..1300 kg",
    "hitch.ball.size=1 7/8 in..2 5/16 in",
    "stages.first-night.tanks.fresh=5 %..95 %",
    "speed=50 mph..65 mph",
)


class Watched:
    """What the library's calls are given and give back, held to what they say of it."""

    def __init__(self) -> None:
        self.lies: set[str] = set()
        self.columned: set[str] = set()
        self._said: dict[CodeType, dict[str, set[str]]] = {}
        self._seen: dict[int, tuple[Any, bool]] = {}
        self._numbered = {"float", *_names_of(Fact.__subclasses__())}
        numbered = (one for one in Generic.__subclasses__() if {N, F} & {*one.__parameters__})  # type: ignore[attr-defined]
        self._numbered |= {*_names_of(numbered)}

    def __call__(self, frame: FrameType, event: str, given: object) -> None:
        """Be called by the interpreter at each call and return."""
        code = frame.f_code
        if "/steelyard/" not in code.co_filename or event not in ("call", "return"):
            return
        if code not in self._said:
            self._said[code] = _annotations(code)
        found = frame.f_locals if event == "call" else {"return": given}
        for name, said in self._said[code].items():
            if name in found and said & self._numbered and self._has_columns(found[name]):
                self.columned.add(code.co_qualname)
                if not said & COLUMNS:
                    self.lies.add(f"{code.co_qualname}: {name}, of {', '.join(sorted(said))}")

    def _has_columns(self, found: Any) -> bool:
        """Whether a number that is stated or taken is a column; each fact is asked once;
        all are looked at, so that no lie is passed over."""
        if not isinstance(found, BaseModel):
            return (
                isinstance(found, np.ndarray) or sum(map(self._has_columns, self._held(found))) > 0
            )
        if id(found) not in self._seen:  # kept, so that nothing else gets its id
            self._seen[id(found)] = found, sum(map(self._has_columns, vars(found).values())) > 0
        return self._seen[id(found)][1]

    def _held(self, found: Any) -> Iterator[Any]:
        """What a collection holds, and the numbers of a thing that states or takes some."""
        if isinstance(found, Mapping | list | tuple):
            yield from found.values() if isinstance(found, Mapping) else found
        for one in fields(found) if is_dataclass(found) else ():
            held, plain = getattr(found, one.name, None), one.type in (float, float | None)
            if plain and isinstance(held, np.ndarray):
                self.lies.add(f"{type(found).__name__}.{one.name}: {one.type}")
            if plain or isinstance(held, BaseModel) or re.search(r"[+~][NF]\b", str(one.type)):
                yield held


def _names_of(kinds: Iterable[type]) -> Iterator[str]:
    for kind in kinds:
        yield kind.__name__
        yield from _names_of(kind.__subclasses__())


def _annotations(code: CodeType) -> dict[str, set[str]]:
    """The names in what a function says of its arguments and of what it returns."""
    if code.co_name.startswith("<"):
        return {}
    (tree,) = ast.parse(textwrap.dedent(getsource(code))).body
    assert isinstance(tree, ast.FunctionDef)
    args = (*tree.args.posonlyargs, *tree.args.args, *tree.args.kwonlyargs)
    said = {one.arg: one.annotation for one in args} | {"return": tree.returns}
    return {name: _names(one) for name, one in said.items() if one is not None}


def _names(said: ast.AST) -> set[str]:
    """The names in an annotation, quoted or not."""
    if isinstance(said, ast.Constant) and isinstance(said.value, str):
        said = ast.parse(said.value)
    return {one.id for one in ast.walk(said) if isinstance(one, ast.Name)}


def _matched() -> None:
    """Vehicles and trailers that differ in much, by the general path and as tables."""
    tows = [tow_of(CAMPER.replace("vehicle.gvwr", f"{7000 + n} lb")) for n in range(3)]
    toweds = [towed_of(CAMPER.replace("trailer.gvwr", f"{7000 + n} lb")) for n in range(3)]
    (tow,), (towed,) = tow_sides(tows, "ball"), towed_sides(toweds)
    both = Pass(tow=drawn(tow, DRAWS, 0), towed=drawn(towed, DRAWS, 0), n=DRAWS)
    block(both.tow, both.towed, np.arange(3), np.arange(3), DRAWS, TIGHT)
    assert len(both.tables) == 2


def _swept() -> None:
    rig, ranges = varied(CAMPER, [read_range(text) for text in SWEPT])
    question = Question(rig=rig, ranges=ranges, give=("tongue", "room", "damping"), draws=4)
    answered(question, question.values(np.linspace(0.0, 1.0, 3)[:, None] * np.ones(len(ranges))))


def test_no_array_stands_where_a_float_is_said() -> None:
    """Every field, argument and answer that holds a column on a match or a sweep says so: none is
    a plain `float`, and no rig, value or sheet with columns goes by the name of a plain one."""
    watched = Watched()
    sys.setprofile(watched)
    try:
        _matched()
        _swept()
    finally:
        sys.setprofile(None)
    assert {"add_vehicle", "readings", "checks", "tow_table", "left_at_speed"} <= watched.columned
    assert not watched.lies
