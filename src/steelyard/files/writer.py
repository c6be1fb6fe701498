"""Writing files whole or not at all, and never over one that is there."""

import contextlib
import os
import tempfile
from pathlib import Path

from steelyard.fault import Fault
from steelyard.files.faults import FileFaultError


class FileThereError(FileFaultError):
    """The file to write is there already."""


def no_room(path: Path, error: OSError) -> FileFaultError:
    """A file that cannot be written, with what the system says."""
    hint = (error.strerror or str(error)).lower()
    return FileFaultError(Fault(file=str(path), due="room to write it", found="none", hint=hint))


def write_new(path: Path, content: str | bytes, *, over: bool = False) -> None:
    """Write a file that must not exist yet, unless `over`; it appears whole or not at all.

    Raises FileThereError if it exists, FileFaultError where there is no room for it.
    """
    data = content.encode() if isinstance(content, str) else content
    try:
        _write(path, data, over=over)
    except OSError as error:
        raise no_room(path, error) from None


def _write(path: Path, data: bytes, *, over: bool) -> None:
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
    there = Fault(file=str(path), due="no file of that name", found="one")
    try:
        os.link(temporary, path)
    except FileExistsError:
        raise FileThereError(there) from None
    except OSError:  # a file system without hard links
        if path.exists():
            raise FileThereError(there) from None
        temporary.replace(path)
