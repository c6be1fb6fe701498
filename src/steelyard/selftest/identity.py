"""Which program a form was printed by: its own files, and the libraries whose numbers it uses."""

from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import Final

HOME: Final = Path(__file__).parents[1]
LIBRARIES: Final = ("numpy", "highspy")
_MADE: Final = (".pyc", ".nbi", ".nbc")
"""What an interpreter or a compiler leaves beside the sources."""


def fingerprint(home: Path = HOME) -> str:
    """Of the name and content of every file of the program: forms that show the same one are of the
    same program. 16 hexadecimal digits."""
    whole = sha256()
    for path in sorted(
        path for path in home.rglob("*") if path.is_file() and path.suffix not in _MADE
    ):
        name = path.relative_to(home).as_posix()
        whole.update(f"{name}\0{sha256(path.read_bytes()).hexdigest()}\n".encode())
    return whole.hexdigest()[:16]


def libraries() -> dict[str, str]:
    """Name and version of each."""
    return {name: version(name) for name in LIBRARIES}
