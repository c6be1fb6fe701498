"""What Numba keeps of compiled code goes when a source of it has changed.

It looks at the caller's own file alone: a formula that changed elsewhere would be answered by as it
was, and a module that moved could not be loaded at all.
"""

from contextlib import suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Final

COMPILED: Final = ("matching", "statics", "swaying")
"""Packages of which something is compiled."""


@cache
def drop_old() -> None:
    """Take away, once in a process, what was compiled of other sources than those that stand."""
    drop_unlike(Path(__file__).parents[1])


def drop_unlike(package: Path) -> None:
    """The same of a package's folder. Where nothing can be written there, nothing is kept there."""
    text = sha256()
    for path in sorted(one for part in COMPILED for one in (package / part).rglob("*.py")):
        text.update(f"{path.relative_to(package)}\n".encode() + path.read_bytes())
    mark = package / "__pycache__" / "compiled_of"
    with suppress(OSError):
        if mark.is_file() and mark.read_text("utf-8") == text.hexdigest():
            return
        for old in package.rglob("__pycache__/*.nb[ci]"):
            old.unlink(missing_ok=True)
        mark.parent.mkdir(exist_ok=True)
        mark.write_text(text.hexdigest(), "utf-8")
