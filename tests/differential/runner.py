"""One commit's side: makes every call in this one process and writes what came of it, a line each.

Run as a file, with PYTHONPATH at the commit's own `src`; it knows nothing of the other side.
"""

import gzip
import json
import os
import re
import shutil
import signal
import sys
import time
from pathlib import Path
from types import FrameType
from typing import Any, Final

LONGEST: Final = 300
"""s that one call may take."""
MOMENT: Final = re.compile(r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(?::\d\d(?:\.\d+)?)?(?:Z|[+-]\d\d:\d\d)?")
TEXT: Final = (".toml", ".csv", ".html", ".json", ".bak")


def _late(number: int, frame: FrameType | None) -> None:
    del number, frame
    raise TimeoutError(f"no answer within {LONGEST} s")


def _called(argv: list[str]) -> dict[str, Any]:
    """Exit code, both streams, and the exception of a call that crashed."""
    from click.testing import CliRunner

    from steelyard.cli import main

    began = time.process_time()
    signal.alarm(LONGEST)
    result = CliRunner().invoke(main, argv)
    signal.alarm(0)
    crash = None if isinstance(result.exception, SystemExit) else result.exception
    return {
        "exit": result.exit_code,
        "stdout": _plain(result.stdout),
        "stderr": _plain(result.stderr),
        "crash": repr(crash) if crash else "",
        "seconds": time.process_time() - began,
    }


def _plain(text: str) -> str:
    """Text without what differs from one run to the next: where and when."""
    return MOMENT.sub("<moment>", text.replace(str(Path.cwd()), "<here>"))


def _written(before: dict[str, bytes]) -> dict[str, str]:
    """Text files that the calls wrote or changed."""
    return {
        name: _plain(content.decode(errors="replace"))
        for name, content in _files().items()
        if before.get(name) != content
    }


def _files() -> dict[str, bytes]:
    found = (path for path in Path().rglob("*") if path.suffix in TEXT)
    return {str(path): path.read_bytes() for path in sorted(found)}


def main(jobs: Path, rigs: Path, out: Path) -> None:
    """Make the calls of jobs [number, calls], each job in a fresh copy of its rig's folder."""
    import steelyard

    assert Path(steelyard.__file__).is_relative_to(os.environ["PYTHONPATH"]), steelyard.__file__
    signal.signal(signal.SIGALRM, _late)
    here = Path.cwd()
    with gzip.open(out, "wt", encoding="utf-8", compresslevel=1) as lines:
        for number, calls in json.loads(jobs.read_text(encoding="utf-8")):
            folder = here / str(number)
            shutil.copytree(rigs / str(number), folder)
            os.chdir(folder)
            before = _files()
            for argv in calls:
                lines.write(json.dumps({"rig": number, "argv": argv, **_called(argv)}) + "\n")
            wrote = json.dumps(_written(before))
            record = {"rig": number, "argv": ["files"], "exit": 0, "stdout": wrote, "stderr": ""}
            lines.write(json.dumps({**record, "crash": "", "seconds": 0.0}) + "\n")
            lines.flush()
            os.chdir(here)
            shutil.rmtree(folder)


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:4]))
