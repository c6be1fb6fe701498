"""Examples in docstrings of the package's face find the demo's files, as a reader of them does."""

import os
from pathlib import Path

import pytest

# As the command line has it, and before numpy is loaded, which reads it once: a second BLAS thread
# only waits, and takes a core from others.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
EXAMPLES = ("functions/__init__.py", "files/reader.py", "files/tickets.py")


@pytest.fixture(autouse=True)
def demo_around_examples(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Work in a folder with the demo's files, and with no logbook of anybody's."""
    if not isinstance(request.node, pytest.DoctestItem):
        return
    if request.node.path.as_posix().endswith(EXAMPLES):
        from steelyard.files.demo import demo_rigs, demo_tables, demo_tickets

        monkeypatch.chdir(tmp_path)
        for name, text in {**demo_rigs(), **demo_tickets(), **demo_tables()}.items():
            Path(name).write_text(text, encoding="utf-8")
