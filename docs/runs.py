"""What pages show by being run: commands, files for them, options of a command, validation.

    ```{run}
    :lines: 12
    :picture: first.svg What the picture shows.
    steelyard check my-rig.toml
    ```

    ```{file} my-rig.toml
    format = 1
    ```

`file` writes a file, or adds to it with `:more:`, and shows what was written. Every page has a
folder of its own with the demo's files, in which its commands run in their order. A command that
ends as bad input does (2), or breaks, is a warning, and warnings are errors. `:fails:` says that 2
is what the page is about.

`options check` gives usage and options of a command, as its own help has them. `held` runs the
tests of tests/validation that name a check by its code, and shows what each held; not with
`-D held=0`.
"""

import json
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import chdir
from pathlib import Path
from typing import Any, ClassVar, Final

import click
from click.testing import CliRunner
from docutils import nodes
from docutils.parsers.rst import directives
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective
from sphinx_click.ext import ClickDirective

from steelyard.cli import main
from steelyard.files.demo import demo_rigs, demo_tables, demo_tickets

FOLDER: Final = "_run"
ANSWERS: Final = (0, 1, 3)
"""Exit codes of a command that answered."""


class Run(SphinxDirective):
    """Commands, one a line, and what they print."""

    has_content = True
    option_spec: ClassVar[Any] = {
        "lines": directives.nonnegative_int,
        "picture": directives.unchanged,
        "fails": directives.flag,
    }

    def run(self) -> list[nodes.Node]:
        """A block with the commands and their output, and a picture that they drew."""
        where = prepared(Path(self.env.srcdir) / FOLDER / self.env.docname)
        told = [f"$ {line}\n{self._output(line, where)}" for line in self.content if line.strip()]
        block = nodes.literal_block("", "\n".join(told).rstrip())
        block["language"] = "text"
        return [block, *self._picture()]

    def _output(self, line: str, where: Path) -> str:
        program, *words = shlex.split(line)
        runner = CliRunner(env={"STEELYARD_LOGBOOK": "logbook.sqlite", "COLUMNS": "80"})
        with chdir(where):
            done = runner.invoke(main, words, prog_name=program, catch_exceptions=False)
        due = (2,) if "fails" in self.options else ANSWERS
        if done.exit_code not in due:
            raise self.warning(f"{line}: ended with {done.exit_code}: {done.stderr[-400:]}")
        lines = (done.stdout + (done.stderr if "fails" in self.options else "")).splitlines()
        most = self.options.get("lines", len(lines))
        return "\n".join([*lines[:most], *(["..."] if len(lines) > most else [])])

    def _picture(self) -> list[nodes.Node]:
        if "picture" not in self.options:
            return []
        name, _, words = self.options["picture"].partition(" ")
        return [nodes.image(uri=f"/{FOLDER}/{self.env.docname}/{name}", alt=words)]


class File(SphinxDirective):
    """A file of the page's folder: written, and shown."""

    has_content = True
    required_arguments = 1
    option_spec: ClassVar[Any] = {"more": directives.flag}

    def run(self) -> list[nodes.Node]:
        """The text as a block under the file's name."""
        where = prepared(Path(self.env.srcdir) / FOLDER / self.env.docname)
        text = "\n".join(self.content) + "\n"
        with (where / self.arguments[0]).open("a" if "more" in self.options else "w") as file:
            file.write("\n" + text if "more" in self.options else text)
        block = nodes.literal_block("", text.rstrip())
        block["language"] = {".toml": "toml", ".py": "python"}.get(
            Path(self.arguments[0]).suffix, "text"
        )
        return [block]


class Options(ClickDirective):  # type: ignore[misc]
    """Usage and options of a command; its heading, and what it is for, stand on the page."""

    required_arguments = 1
    final_argument_whitespace = True

    def run(self) -> list[nodes.Node]:
        """What its help has, without heading and description."""
        words = self.arguments[0].split()
        self.arguments[0] = f"steelyard.cli.{words[0]}:command"
        self.options |= {"prog": f"steelyard {words[0]}", "nested": "full"}
        return [node for section in super().run() for node in section.children[1:]]


class Held(SphinxDirective):
    """What the validation tests hold: by source, and by the code of each check."""

    def run(self) -> list[nodes.Node]:
        """Run them, and say for each: source, fact, how it is worked out, due and found."""
        facts = self._facts() if self.config.held else []
        text = "\n".join((*by_source(facts), *by_code(facts)))
        return self.parse_text_to_nodes(text, allow_section_headings=True)

    def _facts(self) -> list[dict[str, Any]]:
        path = Path(self.env.srcdir) / FOLDER / "held.json"
        path.parent.mkdir(exist_ok=True)
        words = (
            f"-m pytest -q -p no:cacheprovider -p held --held {shlex.quote(str(path))} "
            "-o enable_assertion_pass_hook=true -o verbosity_assertions=2 tests/validation"
        )
        done = subprocess.run(
            [sys.executable, *shlex.split(words)],
            cwd=Path(self.env.srcdir).parent,
            env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path[:2])},
            capture_output=True, text=True, check=False, timeout=300,
        )  # fmt: skip
        if done.returncode:
            raise self.warning(f"validation: {done.stdout[-600:]}{done.stderr[-400:]}")
        found: list[dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))
        return found


def by_source(facts: list[dict[str, Any]]) -> Iterator[str]:
    """A table for each file of tests, under the source it names."""
    yield "## By source"
    for file in dict.fromkeys(fact["file"] for fact in facts):
        mine = [fact for fact in facts if fact["file"] == file]
        yield f"\n### `{file}`\n\n{mine[0]['source']}\n"
        yield "| rests on | held to | fact |\n|---|---|---|"
        yield from (_row(fact["rests_on"], fact["held_to"], fact["fact"]) for fact in mine)


def by_code(facts: list[dict[str, Any]]) -> Iterator[str]:
    """Each numbered check: how it is worked out, what was due, what was found just now."""
    yield "\n## By number"
    every = {code for fact in facts for code in fact["codes"]}
    for code in sorted(every, key=lambda one: (one.split("-")[0], int(one.split("-")[1]))):
        yield f"\n### {code}"
        for fact in (one for one in facts if code in one["codes"]):
            yield from _worked_out(fact)


def _worked_out(fact: dict[str, Any]) -> Iterator[str]:
    yield f"\n{fact['held_to']} {fact['fact']} ({fact['rests_on']}; `{fact['file']}`)\n"
    yield f"Source: {fact['source']}\n"
    yield f"```python\n{fact['code']}\n```\n"
    if fact["held"]:
        yield "| worked out | found | due |\n|---|---|---|"
        for worked, found, due in fact["held"]:
            yield _row(*(f"`{' '.join(one.split())}`" for one in (worked, found, due)))


def _row(*cells: str) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def prepared(where: Path) -> Path:
    """A page's own folder, with the demo's files the first time."""
    if not where.exists():
        where.mkdir(parents=True)
        for name, text in {**demo_rigs(), **demo_tickets(), **demo_tables()}.items():
            (where / name).write_text(text, encoding="utf-8")
    return where


def _said_on_the_page(app: Sphinx, ctx: click.Context, lines: list[str]) -> None:
    """What a command is for, and what its arguments are, stand in the page's own words."""
    del app
    if ctx.parent is None:
        lines.clear()


def _anew(app: Sphinx) -> None:
    shutil.rmtree(Path(app.srcdir) / FOLDER, ignore_errors=True)


def setup(app: Sphinx) -> dict[str, bool]:
    """Register the directives; what an earlier build ran goes."""
    for name, one in (("run", Run), ("file", File), ("options", Options), ("held", Held)):
        app.add_directive(name, one)
    for part in ("description", "arguments"):
        app.connect(f"sphinx-click-process-{part}", _said_on_the_page)
    app.add_config_value("held", default=True, rebuild="env")
    app.connect("builder-inited", _anew)
    return {"parallel_read_safe": True}
