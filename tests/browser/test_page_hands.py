"""What breaks silently under hands: focus that is lost, fingers that cannot scroll, stale words."""

import pytest
from playwright.sync_api import CDPSession, Page, expect
from tests.browser.conftest import Served, Watched

CHIP = '.chip[data-item="bikes"]'
ITEM = '.picture .item[data-item="bikes"]'


def lost(page: Page) -> bool:
    """Whether nothing has the focus."""
    return bool(page.evaluate("document.activeElement === document.body"))


def did(page: Page, words: str) -> None:
    """What was done has been said, and the page shows it."""
    expect(page.locator("#said")).to_contain_text(words)


def test_the_focus_is_never_lost(served: Served, desk: Watched) -> None:
    """After an act that takes its own button away, and after folding, something has the focus."""
    page = desk.open(served.address)
    page.locator(ITEM).focus()
    page.keyboard.press("Alt+ArrowLeft")
    did(page, "bikes to lounge")
    expect(page.locator(ITEM)).to_be_focused()
    page.locator("[data-do=undo]").focus()
    page.keyboard.press("Enter")
    did(page, "Undone")
    expect(page.locator("[data-do=undo]")).to_be_disabled()
    assert not lost(page)
    page.locator(CHIP).focus()
    page.keyboard.press("Enter")
    page.locator("#held form[data-do=remove] button").focus()
    page.keyboard.press("Enter")
    did(page, "stays home")
    assert not lost(page)
    page.keyboard.press("Control+z")
    did(page, "Undone")
    page.locator(CHIP).focus()
    page.keyboard.press("Enter")
    page.locator("#held [data-let-go]").focus()
    page.keyboard.press("Enter")
    expect(page.locator(CHIP)).to_be_focused()
    page.locator("[data-fold=load]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#section-load")).to_be_hidden()
    assert not lost(page)
    desk.clean(served.address)


def test_sway_says_when_it_is_not_yet_of_this_load(served: Served, desk: Watched) -> None:
    """From a move on, the line on sway is marked until it is of the rig as it is now."""
    page = desk.open(served.address)
    edge = page.locator("#part-edge")
    expect(edge).to_contain_text("Sway grows")
    expect(edge).to_have_attribute("aria-busy", "false")
    page.evaluate(
        "window.marks = []; const edge = document.getElementById('part-edge');"
        "new MutationObserver(() => marks.push(edge.hasAttribute('data-working')))"
        ".observe(edge, {attributes: true})"
    )
    before = edge.inner_text()
    page.locator(CHIP).click()
    page.locator('.place-name[data-place="bedroom"]').click()
    did(page, "bikes to bedroom")
    expect(edge).not_to_have_text(before)
    expect(edge).to_have_attribute("aria-busy", "false")
    marks = page.evaluate("marks")
    assert marks[0]
    assert not marks[-1]
    desk.clean(served.address)


def test_a_bare_weight_is_in_the_screens_unit(served: Served, desk: Watched) -> None:
    """What is added by number alone weighs that in the unit shown beside the field; a number
    without its spread is told what is missing."""
    page = desk.open(served.address)
    form = page.locator("form.adding")
    form.locator("[name=name]").fill("anvil")
    form.locator("[name=weight]").fill("120")
    form.locator("button").click()
    did(page, "anvil added")
    expect(page.locator('.chip[data-item="anvil"]')).to_contain_text("120 lb")
    form.locator("[name=name]").fill("rope")
    form.locator("[name=weight]").fill("5 lb +-")
    form.locator("button").click()
    expect(page.locator("#fault")).to_contain_text("no number behind its +-")


def touch(line: CDPSession, kind: str, *points: tuple[float, float]) -> None:
    """One event of one finger."""
    found = [{"x": x, "y": y} for x, y in points]
    line.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": found})


@pytest.fixture
def chip(served: Served, phone: Watched) -> tuple[Page, CDPSession, float, float]:
    """A chip in the middle of a phone's screen, and a finger."""
    page = phone.open(served.address)
    expect(page.locator("#part-edge")).to_contain_text("Sway grows")
    page.locator(CHIP).evaluate("one => one.scrollIntoView({block: 'center'})")
    box = page.locator(CHIP).bounding_box()
    assert box
    return page, phone.context.new_cdp_session(page), box["x"] + 20, box["y"] + 20


def test_a_finger_on_a_chip_scrolls(chip: tuple[Page, CDPSession, float, float]) -> None:
    """A swipe that starts on an item scrolls the page and moves nothing."""
    page, line, x, y = chip
    at = page.evaluate("scrollY")
    touch(line, "touchStart", (x, y))
    for n in range(1, 12):
        touch(line, "touchMove", (x, y - 15 * n))
        page.wait_for_timeout(16)
    touch(line, "touchEnd")
    page.wait_for_timeout(300)
    assert page.evaluate("scrollY") > at + 50
    expect(page.locator("[data-do=undo]")).to_be_disabled()


def test_a_finger_that_rests_on_a_chip_drags(chip: tuple[Page, CDPSession, float, float]) -> None:
    """Rested on, the item follows the finger, the page does not; it lands where it is let go."""
    page, line, x, y = chip
    at = page.evaluate("scrollY")
    place = page.locator('.place-row[data-place="galley"]').bounding_box()
    assert place
    touch(line, "touchStart", (x, y))
    expect(page.locator("#ghost")).to_have_count(1)
    to = (place["x"] + 60, place["y"] + 30)
    for n in range(1, 9):
        touch(line, "touchMove", (x + (to[0] - x) * n / 8, y + (to[1] - y) * n / 8))
        page.wait_for_timeout(30)
    expect(page.locator("#ghost")).to_contain_text("on the ball")
    assert page.evaluate("scrollY") == at
    touch(line, "touchEnd")
    did(page, "bikes to galley")
