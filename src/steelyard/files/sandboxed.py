"""Spreadsheets, pictures and PDF, which can explode when they are unpacked: opened in a child.

The child has bounds on memory, processor time and what it may say; whatever it does, this process
goes on. `python -m steelyard.files.sandboxed KIND` reads a file's bytes from standard input and
prints JSON: rows of a sheet's cells, or the texts of the codes seen in a picture.
"""

import json
import subprocess
import sys
import zipfile
from collections.abc import Callable
from importlib import import_module
from io import BytesIO
from typing import Any, Final, Literal

from steelyard.fault import Fault
from steelyard.files.faults import FileFaultError
from steelyard.files.limits import LIMITS, beyond

Kind = Literal["sheet", "codes"]
MEMORY: Final = 3 << 30
"""Bytes that a child may take."""
SECONDS: Final = 30
DPI: Final = 300
SAID: Final = 20_000_000
"""Letters that a child may answer with."""
_DUE: Final = {"sheet": "an xlsx spreadsheet", "codes": "a photo (JPEG or PNG) or a PDF"}


def opened(kind: Kind, data: bytes, name: str) -> Any:
    """What a child makes of a file's bytes; FileFaultError where it makes nothing of them."""
    command = [sys.executable, "-m", "steelyard.files.sandboxed", kind]
    try:
        done = subprocess.run(
            command, input=data, capture_output=True, timeout=SECONDS, check=False
        )
        answer = json.loads(done.stdout) if len(done.stdout) <= SAID else {}
    except subprocess.TimeoutExpired:
        answer = {"fault": {"due": f"an answer within {SECONDS} s", "found": "none: try again"}}
    except ValueError:
        answer = {}
    if "found" in answer:
        return answer["found"]
    plain = {"due": _DUE[kind], "found": "one that cannot be opened"}
    raise FileFaultError(file=name, **answer.get("fault", plain))


def _sheet(data: bytes) -> list[list[str]]:
    """The first sheet of a spreadsheet, its formulas' last values as text."""
    openpyxl = _module("openpyxl", "openpyxl")
    with zipfile.ZipFile(BytesIO(data)) as packed:
        parts = packed.infolist()
    _require("parts", len(parts))
    _require("unpacked bytes", sum(part.file_size for part in parts))
    book = openpyxl.load_workbook(BytesIO(data), read_only=True, data_only=True)
    most, columns, letters = (LIMITS[key].most for key in ("rows", "columns", "cell"))
    rows = book.worksheets[0].iter_rows(max_row=most + 2, max_col=columns + 1, values_only=True)
    texts = (["" if cell is None else str(cell)[: letters + 1] for cell in row] for row in rows)
    return [_trimmed(row) for row in texts]


def _trimmed(row: list[str]) -> list[str]:
    """A row without the empty cells at its end, of which a sheet has as many as one asks for."""
    last = max((n for n, cell in enumerate(row, start=1) if cell), default=0)
    return row[:last]


def _codes(data: bytes) -> list[str]:
    """The texts of all codes in an image, or on the pages of a PDF."""
    reader = _module("zxingcpp", "zxing-cpp")
    pictures = _pages(data) if data.startswith(b"%PDF") else [_image(data)]
    return [code.text for picture in pictures for code in reader.read_barcodes(picture)]


def _pages(data: bytes) -> list[Any]:
    pages = _module("pypdfium2", "pypdfium2").PdfDocument(data)
    _require("pages", len(pages))
    for page in pages:
        width, height = page.get_size()
        _require("pixels", int(width * height * (DPI / 72) ** 2))
    return [page.render(scale=DPI / 72, grayscale=True).to_numpy() for page in pages]


def _image(data: bytes) -> Any:
    image = _module("PIL.Image", "pillow").open(BytesIO(data))
    _require("pixels", image.width * image.height)
    return image.convert("L")


def _require(key: str, found: int) -> None:
    for fault in beyond(key, found):
        raise FileFaultError(fault)


def _module(name: str, package: str) -> Any:
    try:
        return import_module(name)
    except ImportError:
        fault = Fault(
            due=f"{package} to read it with",
            found="none",
            hint="install it, or let a phone read them",
        )
        raise FileFaultError(fault) from None


READERS: Final[dict[str, Callable[[bytes], Any]]] = {"sheet": _sheet, "codes": _codes}


def _main(kind: str) -> None:
    """The child."""
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    except ImportError:  # no such bounds on this system
        pass
    answer: dict[str, Any]
    try:
        answer = {"found": READERS[kind](sys.stdin.buffer.read())}
    except FileFaultError as error:
        (fault,) = error.faults
        answer = {"fault": {"due": fault.due, "found": fault.found, "hint": fault.hint}}
    except Exception:  # noqa: BLE001 - whatever a library makes of a stranger's bytes
        answer = {}
    json.dump(answer, sys.stdout)


if __name__ == "__main__":
    _main(sys.argv[1])
