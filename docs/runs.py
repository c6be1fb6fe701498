"""Two directives: commands that a page shows, each run while the site is built, and files for them.

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
"""

import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any, ClassVar, Final

from docutils import nodes
from docutils.parsers.rst import directives
from sphinx.application import Sphinx
from sphinx.util.docutils import SphinxDirective

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
        command = shlex.split(line)
        if command[0] == "steelyard":
            command = [sys.executable, "-m", *command]
        own = os.environ | {"XDG_DATA_HOME": str(where / "data"), "COLUMNS": "80"}
        done = subprocess.run(
            command, cwd=where, env=own, capture_output=True, text=True, check=False, timeout=60
        )
        due = (2,) if "fails" in self.options else ANSWERS
        if done.returncode not in due:
            raise self.warning(f"{line}: ended with {done.returncode}: {done.stderr[-400:]}")
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


def prepared(where: Path) -> Path:
    """A page's own folder, with the demo's files the first time."""
    if not where.exists():
        where.mkdir(parents=True)
        for name, text in {**demo_rigs(), **demo_tickets(), **demo_tables()}.items():
            (where / name).write_text(text, encoding="utf-8")
    return where


def _anew(app: Sphinx) -> None:
    shutil.rmtree(Path(app.srcdir) / FOLDER, ignore_errors=True)


def setup(app: Sphinx) -> dict[str, bool]:
    """Register the directive; what an earlier build ran goes."""
    app.add_directive("run", Run)
    app.add_directive("file", File)
    app.connect("builder-inited", _anew)
    return {"parallel_read_safe": True}
