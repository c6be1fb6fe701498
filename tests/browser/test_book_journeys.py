"""A person's ways through the book of rigs, and two on one rig."""

from pathlib import Path

from playwright.sync_api import Browser, Page, expect
from tests.browser.conftest import Served, Watched, grave
from tests.stress.together import end_alike

from steelyard.files.demo import demo_rigs
from steelyard.web.book import Shelf
from steelyard.web.work import Works

READING = "#part-weigh form[data-do=read] input[name=value]"


def kept(served: Served) -> int:
    """The camper put into the book, as another program would; its number."""
    shelf = Shelf(served.path.parent / "logbook.sqlite", Works())
    number = shelf.add(demo_rigs()["perihelion-camper.toml"], owner="Milo Reyes")
    shelf.end()
    return number


def test_the_book_by_keyboard_alone(book: Served, desk: Watched) -> None:
    """From an empty book an example, with Tab and Enter; back in the book it is found, given an
    owner, archived and found again; a name that is markup stays a name."""
    page = desk.open(f"{book.address}book")
    expect(page.locator("h1")).to_contain_text("No rigs yet")

    def press(words: str) -> None:
        page.get_by_role("button", name=words, exact=True).focus()
        page.keyboard.press("Enter")

    press("Examples")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.wait_for_url("**/rig/1/")
    page.goto(f"{book.address}book")
    line = page.locator("li[data-rig='1']")
    expect(line.locator(".stamp")).not_to_be_empty()
    line.locator("summary").focus()
    page.keyboard.press("Enter")
    line.get_by_label("Name").fill("<b>Ada</b>")
    page.keyboard.press("Enter")
    expect(line.locator(".named a")).to_have_text("<b>Ada</b>")
    line.get_by_label("Owner").fill("Ada Brandt")
    page.keyboard.press("Enter")
    expect(line.locator(".named")).to_contain_text("Ada Brandt")
    page.get_by_role("searchbox").fill("brandt nothing")
    expect(page.locator(".none")).to_be_visible()
    page.get_by_role("searchbox").fill("brandt")
    expect(line).to_be_visible()
    line.locator("summary").focus()
    page.keyboard.press("Enter")
    line.get_by_role("button", name="Archive").focus()
    page.keyboard.press("Enter")
    expect(line).to_have_count(0)
    page.get_by_role("link", name="1 archived").focus()
    page.keyboard.press("Enter")
    expect(line).to_be_visible()
    desk.clean(book.address)


def test_phone_and_laptop_on_one_rig(book: Served, desk: Watched, phone: Watched) -> None:
    """A reading typed on the phone moves the laptop's sentence; half-typed text outlives the tab; a
    lost line is said at once, and what is typed then is sent when it is back; of two who write one
    reading the second is told."""
    address = f"{book.address}rig/{kept(book)}/"
    laptop, hand = desk.open(address), phone.open(address)
    before = laptop.locator(".sentence").inner_text()
    unfold(hand)
    type_in(hand, 0, "3200")
    expect(laptop.locator(".sentence")).not_to_have_text(before)
    hand.locator(READING).nth(1).press_sequentially("36")
    hand.reload()
    expect(hand.locator(READING).nth(1)).to_have_value("36")
    book.stop()
    expect(hand.locator("#line")).to_contain_text("lost")
    type_in(hand, 1, "3650")
    expect(hand.locator("#line")).to_contain_text("1 thing you did waits here")
    book.start()
    expect(hand.locator("#line")).to_be_empty(timeout=30_000)
    unfold(laptop)
    expect(laptop.locator(READING).nth(1)).to_have_value("3650")
    laptop.locator(READING).nth(1).fill("3600")
    type_in(hand, 1, "3640")
    expect(laptop.locator("#part-weigh")).to_contain_text("3640 lb")
    laptop.locator(READING).nth(1).press("Enter")
    expect(laptop.locator("#fault")).to_contain_text("“3640 lb” here meanwhile")
    expect(laptop.locator(READING).nth(1)).to_have_value("3600")
    laptop.locator(READING).nth(1).press("Enter")
    expect(hand.locator(READING).nth(1)).to_have_value("3600")


def unfold(page: Page) -> None:
    """The readings, unless they are there."""
    if not page.locator("#section-weigh").is_visible():
        page.evaluate("document.querySelector('footer [data-open=weigh]').click()")
    expect(page.locator(READING).first).to_be_visible()


def type_in(page: Page, field: int, value: str) -> None:
    """A reading typed and sent."""
    page.locator(READING).nth(field).fill(value)
    page.locator(READING).nth(field).press("Enter")


def test_two_browsers_end_alike(browser: Browser, tmp_path: Path) -> None:
    """Random acts of both, in small: both show the same, and so does one that comes later."""
    _, apart = end_alike(browser, tmp_path, 8, 0)
    assert apart == 0


def test_accessibility_rules_hold_in_the_book(book: Served, desk: Watched) -> None:
    """No serious or critical finding of axe-core on any page of the book, wide or narrow, and
    nothing wider than a 320 px screen."""
    kept(book)
    number = kept(book)
    page = desk.open(f"{book.address}book")
    for at in ("book", f"book/beside/{number}?with={number - 1}", f"book/match/{number}"):
        page.goto(f"{book.address}{at}")
        expect(page.locator("html[data-live=yes]")).to_have_count(1)
        for one in page.locator("summary").all()[:3]:
            one.click()
        assert not grave(page, 1280, 390, 320), at
