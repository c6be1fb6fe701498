"""Writing files whole or not at all, never over one that is there unasked, older ones kept."""

import os
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from secrets import token_hex
from typing import Final

from steelyard.fault import Fault
from steelyard.files.faults import FileFaultError

KEPT: Final = 9
"""Files as they were before so many saves, kept beside each other: `.bak` is the newest."""
LEFT: Final = 86_400.0
"""s after which what a killed program left half written is swept away."""


class FileThereError(FileFaultError):
    """The file to write is there already."""


def no_room(path: Path, error: OSError) -> FileFaultError:
    """A file that cannot be written, with what the system says."""
    hint = (error.strerror or str(error)).lower()
    return FileFaultError(file=str(path), due="room to write it", found="none", hint=hint)


def write_new(path: Path, content: str | bytes, *, over: bool = False) -> None:
    """Write a file that must not exist yet, unless `over`; it appears whole or not at all.

    Raises FileThereError if it exists, FileFaultError where there is no room for it.
    """
    with beside(path, over=over) as part:
        _fill(part, content, path)


def write_over(path: Path, content: str, look: Callable[[], None]) -> Path:
    """Swap a file's content for another; the path of the file as it was, kept beside it.

    look: called last before anything changes; may raise. A link stays, what it is of is written.
    """
    with beside(path, over=True) as part:
        _fill(part, content, path)
        look()
        return _keep(Path(os.path.realpath(path)))


def _fill(part: Path, content: str | bytes, path: Path) -> None:
    data = content.encode() if isinstance(content, str) else content
    try:
        part.write_bytes(data)
    except OSError as error:
        raise no_room(path, error) from None


@contextmanager
def beside(path: Path, *, over: bool = True) -> Iterator[Path]:
    """A file to write into, which takes the name asked for when all is there, and else goes.

    It is on the disk, and so is its name, before this returns. Where the name is a link, what it
    points to is replaced. A new file has the rights that the user's mask leaves, one that is
    replaced keeps its own.
    """
    target = Path(os.path.realpath(path))
    part = target.with_name(f".steelyard-{token_hex(8)}.part")
    try:
        try:
            _sweep(target.parent)
            os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        except OSError as error:
            raise no_room(path, error) from None
        yield part
        try:
            _finish(part, target, over=over)
        except OSError as error:
            raise no_room(path, error) from None
    finally:
        with suppress(OSError):
            part.unlink()


def _finish(part: Path, target: Path, *, over: bool) -> None:
    _sync(part)
    if not over:
        _claim(part, target)
    else:
        with suppress(FileNotFoundError):
            shutil.copymode(target, part)
        part.replace(target)
    _sync(target.parent)


def _sync(path: Path) -> None:
    """Have the system put a file, or the names in a folder, on the disk."""
    if path.is_dir() and os.name == "nt":
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _claim(part: Path, target: Path) -> None:
    """Give the finished file its name, unless somebody has it."""
    there = Fault(file=str(target), due="no file of that name", found="one")
    try:
        os.link(part, target)
    except FileExistsError:
        raise FileThereError(there) from None
    except OSError:  # a file system without hard links
        if target.exists():
            raise FileThereError(there) from None
        part.replace(target)


def _keep(target: Path) -> Path:
    """The file as it is, whole beside it: `.bak`, the one before `.bak2`, and so on."""
    data, newest = target.read_bytes(), _backup(target, 1)
    if not (newest.is_file() and newest.read_bytes() == data):
        with beside(newest) as part:
            _fill(part, data, newest)
            shutil.copystat(target, part)
            for number in range(KEPT - 1, 0, -1):
                with suppress(FileNotFoundError):
                    _backup(target, number).replace(_backup(target, number + 1))
    return newest


def _backup(target: Path, number: int) -> Path:
    return target.with_name(f"{target.name}.bak{number if number > 1 else ''}")


def _sweep(folder: Path) -> None:
    """Take away what was left half written a day ago or longer."""
    now = time.time()
    for left in folder.glob(".steelyard-*.part"):
        with suppress(OSError):
            if now - left.stat().st_mtime > LEFT:
                left.unlink()
