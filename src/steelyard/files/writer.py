"""Writing files whole or not at all, and never over one that is there."""

import contextlib
import os
import tempfile
from pathlib import Path


class FileThereError(Exception):
    """The file to write is there already."""


def write_new(path: Path, content: str | bytes, *, over: bool = False) -> None:
    """Write a file that must not exist yet, unless `over`; it appears whole or not at all.

    Raises FileThereError if it exists, OSError if the folder cannot be written.
    """
    data = content.encode() if isinstance(content, str) else content
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".steelyard-", suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).chmod(0o644)
        if over:
            Path(temporary).replace(path)
        else:
            _claim(Path(temporary), path)
    finally:
        with contextlib.suppress(FileNotFoundError):
            Path(temporary).unlink()


def _claim(temporary: Path, path: Path) -> None:
    """Give the finished file its name, unless somebody has it."""
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise FileThereError(f"{path}: expected no file of that name, found one") from None
    except OSError:  # a file system without hard links
        if path.exists():
            raise FileThereError(f"{path}: expected no file of that name, found one") from None
        temporary.replace(path)
