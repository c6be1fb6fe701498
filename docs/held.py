"""A plugin of pytest for the page on validation: what each test holds, as it was found here.

`pytest -p held --held FILE tests/validation` notes every test's fact, and of those that name a
check by its code runs the test and notes its source and each assertion that held. So the page says
what the tests say, and nothing is written twice.
"""

import inspect
import json
import re
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import pytest

CODES: Final = re.compile(
    r"\b([A-Z]{2,4}|J\d{2,4})-(\d+)((?:(?:,| and| to) (?:\1-)?\d+\b(?! [a-z]))*)"
)
"""How a check of the literature is numbered: "LAT-06 to LAT-08", "REG-1, 2, 8 to 14"."""
COMPARES: Final = re.compile(r" (==|<=|>=|<|>) ")


def codes(text: str) -> Iterator[str]:
    """Every code that a text names, ranges counted out."""
    for family, first, more in CODES.findall(text):
        numbers = [first]
        for joint, number in re.findall(rf"(,| and| to) (?:{family}-)?(\d+)", more):
            if joint == " to":
                between = range(int(numbers[-1]) + 1, int(number))
                numbers += [str(one).zfill(len(number)) for one in between]
            numbers.append(number)
        yield from (f"{family}-{number}" for number in numbers)


def pytest_addoption(parser: Any) -> None:
    """Where to write what was noted."""
    parser.addoption("--held", type=Path)


def pytest_configure(config: Any) -> None:
    """Begin to note."""
    config.pluginmanager.register(Held(config.getoption("--held")))


class Held:
    """What the tests hold, by their file and name; cases of one test are one fact."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.facts: dict[str, dict[str, Any]] = {}

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        """Note every test; go on with those that name a code."""
        for item in items:
            self.facts.setdefault(_name(item), _fact(item))
        items[:] = [
            item
            for item in items
            if self.facts[_name(item)]["codes"] and not item.get_closest_marker("study")
        ]

    def pytest_assertion_pass(self, item: Any, orig: str, expl: str) -> None:
        """Note what was compared, on both sides; assertions of others' code are passed over."""
        fact = self.facts[_name(item)]
        if COMPARES.search(orig) and _bare(orig) in _bare(fact["code"]):
            fact["held"].append([orig, *_sides(expl)])

    def pytest_sessionfinish(self) -> None:
        """Write it down."""
        self.path.write_text(json.dumps(list(self.facts.values())), encoding="utf-8")


def _name(item: Any) -> str:
    return str(item.nodeid).partition("[")[0]


def _fact(item: pytest.Function) -> dict[str, Any]:
    """One test: where its number comes from, what it holds, and how."""
    about = " ".join(_said(item.cls).split()) if item.cls else ""
    text = " ".join(_said(item.function).split())
    return {
        "file": item.path.stem,
        "source": " ".join(_said(item.module).split()),
        "rests_on": _rests_on(item, f"{about} {text}"),
        "held_to": about,
        "fact": text,
        "codes": list(dict.fromkeys(codes(f"{about} {text}"))),
        "code": _without_docstring(inspect.getsource(item.function)),
        "held": [],
    }


def _said(one: Any) -> str:
    return inspect.getdoc(one) or ""


def _without_docstring(source: str) -> str:
    return re.sub(r'\n *"""[\s\S]*?"""', "", textwrap.dedent(source), count=1).strip()


def _rests_on(item: pytest.Function, text: str) -> str:
    """Whether a number was seen in its source, worked out here, or is from memory."""
    name = f"{item.cls.__name__ if item.cls else ''} {item.name.partition('[')[0]}"
    if re.search("FromMemory|from_memory|no_source", name) or "(M)" in text:
        return "memory"
    computed = re.search("Computed|_computed", name) or "pint" in text
    return "seen" if item.get_closest_marker("seen") and not computed else "computed"


def _bare(text: str) -> str:
    return re.sub(r"[\s\"'()]", "", text)


def _sides(expl: str) -> tuple[str, str]:
    """What was found and what was due, of an assertion as pytest explains it."""
    line = re.sub(r"\\n *| ∠ ±180°", " ", expl.partition("\n")[0])
    line = re.sub(r"\b(?:np\.float64|approx|array)\(([^()]*)\)", r"\1", line)
    line = re.sub(r"(?<= )approx\((.*)\)$", r"\1", line)
    line = re.sub(r"\d+\.\d{7,}", lambda long: f"{float(long[0]):.8g}", line)
    where = COMPARES.search(line)
    if where is None:
        return line, ""
    sign = "" if where[1] == "==" else f"{where[1]} "
    return line[: where.start()], sign + line[where.end() :]
