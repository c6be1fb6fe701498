"""`steelyard card`: files written whole, exit codes, and a rig read back."""

import threading
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from click.testing import CliRunner, Result

from steelyard.cards import Content, as_html, as_pdf, card
from steelyard.cli import main
from steelyard.files import FileFaultError, parse_rig, read_rig
from steelyard.files.demo import demo_rigs, demo_tickets
from steelyard.files.sandboxed import READERS


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the example rigs and ticket, worked in."""
    for name, text in {**demo_rigs(), **demo_tickets()}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _run(*words: str) -> Result:
    return CliRunner().invoke(main, ["card", *words])


CAMPER = "perihelion-camper.toml"


def test_written_once_and_read_back(folder: Path) -> None:
    """The card goes to <rig name>-card.pdf, never over one that is there; its codes are the rig."""
    first = _run(CAMPER)
    assert first.exit_code == 3
    made = folder / "perihelion-camper-card.pdf"
    before = made.read_bytes()
    again = _run(CAMPER, "--paper", "a4")
    assert again.exit_code == 2
    assert "expected no file of that name, found one" in again.output
    assert made.read_bytes() == before
    assert _run(CAMPER, "--over").exit_code == 3
    assert _run("--read", made.name, "--to", "back.toml").exit_code == 0
    assert read_rig("back.toml") == read_rig(CAMPER)


def test_read_from_a_photograph_and_from_text(folder: Path) -> None:
    """A grey, turned image of the back at 200 dpi, and the text of the codes, give the same rig."""
    rig = read_rig("perihelion-observatory.toml")
    assert _run("perihelion-observatory.toml", "--to", "x.pdf").exit_code == 1
    page = pdfium.PdfDocument(folder / "x.pdf")[1].render(scale=200 / 72).to_pil()
    page.convert("L").rotate(7, expand=True, fillcolor=180).save("photo.png")
    seen = _run("--read", "photo.png")
    assert seen.exit_code == 0, seen.output
    assert parse_rig(seen.stdout) == rig
    Path("codes.txt").write_text("\n".join(one.text for one in card(rig).codes))
    assert parse_rig(_run("--read-text", "codes.txt").stdout) == rig


def test_a_weighing_sharpens_the_card(folder: Path) -> None:
    """With a ticket the ball's spread shrinks, and the card says it was weighed."""
    ticket = next(iter(demo_tickets()))
    assert _run(CAMPER, "--with", ticket, "--to", "w.html").exit_code in (0, 1, 3)
    page = (folder / "w.html").read_text(encoding="utf-8")
    assert f"sharper by the weighing {ticket}" in page


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "expected a RIG file"),
        ((CAMPER, "--to", "card.txt"), "ending in .pdf or .html"),
        ((CAMPER, "--to", "nowhere/card.pdf"), "expected room to write it"),
        ((CAMPER, "--stage", "moon"), "expected one of"),
        (("--read", CAMPER), "expected a photo (JPEG or PNG) or a PDF"),
        (("--read-text", CAMPER), "found none"),
        (("--read", "missing.png"), "expected a picture"),
        ((CAMPER, "--read", "missing.png"), "expected no RIG"),
    ],
)
def test_bad_input_is_one_sentence(folder: Path, words: tuple[str, ...], said: str) -> None:
    """Exit code 2, no traceback, nothing written."""
    before = sorted(folder.iterdir())
    result = _run(*words)
    assert result.exit_code == 2
    assert said in result.output
    assert "Traceback" not in result.output
    assert sorted(folder.iterdir()) == before


def test_without_a_reader_of_codes_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where zxing-cpp is missing, the child names it and the way round it."""
    monkeypatch.setitem(__import__("sys").modules, "zxingcpp", None)
    with pytest.raises(FileFaultError, match=r"expected zxing-cpp .* let a phone read them"):
        READERS["codes"](b"")


def test_threads_make_the_same_sheet() -> None:
    """Six threads at once give the very page, and a PDF as long, as one alone."""
    rig = parse_rig(demo_rigs()["perihelion-tractor.toml"])
    content = card(rig)
    found: list[tuple[Content, str, int]] = []

    def work() -> None:
        mine = card(rig)
        found.append((mine, as_html(mine), len(as_pdf(mine))))

    threads = [threading.Thread(target=work) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(found) == 6
    alone = as_html(content), len(as_pdf(content))
    assert all(mine == content and (page, size) == alone for mine, page, size in found)
