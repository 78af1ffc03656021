"""From head to head with the thumb, and back to the board."""

from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model.sets.source import WantedOffset

SWIPE = """([from, to]) => {
  const on = document.querySelector("main");
  const touch = (x) => new Touch({identifier: 1, target: on, clientX: x, clientY: 400});
  const send = (name, touches, changedTouches) =>
    on.dispatchEvent(new TouchEvent(name, {bubbles: true, touches, changedTouches}));
  send("touchstart", [touch(from)], [touch(from)]);
  send("touchend", [], [touch(to)]);
}"""


def _open_first(page: Page) -> list[str]:
    """Go from the board to its first head; return where its rows lead."""
    page.goto("/sets/1")
    rows = page.locator(".board a")
    to = [str(rows.nth(k).get_attribute("href")) for k in range(rows.count())]
    rows.first.tap()
    page.wait_for_url(f"**{to[0]}")
    return to


def test_a_swipe_leads_to_the_next_and_back_to_the_board(plain: int, page: Page, here: Flask):
    to = _open_first(page)
    page.evaluate(SWIPE, [300, 100])
    page.wait_for_url(f"**{to[1]}")
    expect(page.get_by_role("heading", level=1)).to_be_focused()  # it says which head it is now
    page.evaluate(SWIPE, [100, 300])
    page.wait_for_url(f"**{to[0]}")
    page.evaluate(SWIPE, [300, 280])  # too short for one
    page.get_by_role("link", name="Next that needs you").tap()
    page.wait_for_url(f"**{to[1]}")
    expect(page.get_by_role("heading", level=1)).to_be_focused()
    page.go_back()
    page.wait_for_url("**/sets/1")
    expect(page.locator(".board")).to_be_visible()


def test_a_head_that_was_done_keeps_its_place_in_the_walk(plain: int, page: Page, here: Flask):
    """As one who does what No. 2 needs, and goes on to the head below it."""
    sets = here.extensions["advisor"].sets
    first, second, third = _open_first(page)[:3]
    page.get_by_role("link", name="Next that needs you").tap()
    page.wait_for_url(f"**{second}")
    number = int(second.rsplit("/", 1)[1])
    source = sets.get_source(number).source
    sets.update_source(number, source.model_copy(update={"aim": WantedOffset(leave=True)}))
    page.reload()
    expect(page.locator(".band .leave")).to_be_attached()
    page.get_by_role("link", name="Next that needs you").tap()
    page.wait_for_url(f"**{third}")
    page.get_by_role("link", name="Before that needs you").tap()
    page.wait_for_url(f"**{first}")


def test_who_comes_from_the_board_walks_as_it_is_now(plain: int, page: Page, here: Flask):
    sets = here.extensions["advisor"].sets
    number = int(_open_first(page)[1].rsplit("/", 1)[1])
    source = sets.get_source(number).source
    sets.update_source(number, source.model_copy(update={"aim": WantedOffset(leave=True)}))
    to = _open_first(page)
    assert f"/sources/{number}" not in to[:2]
    page.get_by_role("link", name="Next that needs you").tap()
    page.wait_for_url(f"**{to[1]}")


def test_the_main_action_is_on_the_first_screen(plain: int, page: Page, here: Flask):
    for size in ({"width": 390, "height": 660}, {"width": 320, "height": 640}):
        page.set_viewport_size(size)
        for source in range(1, 7):
            page.goto(f"/sources/{source}")
            thumb = page.locator(".thumb > [data-live] button, #new-reading > summary")
            expect(thumb.first).to_be_in_viewport(ratio=1)
            expect(thumb.last).to_be_in_viewport(ratio=1)
            expect(page.locator(".band")).to_be_in_viewport(ratio=1)
