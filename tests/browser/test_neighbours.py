"""From head to head with the thumb, and back to the board."""

from flask import Flask
from playwright.sync_api import Page, expect

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


def test_the_main_action_is_on_the_first_screen(plain: int, page: Page, here: Flask):
    for size in ({"width": 390, "height": 660}, {"width": 320, "height": 640}):
        page.set_viewport_size(size)
        for source in range(1, 7):
            page.goto(f"/sources/{source}")
            thumb = page.locator(".thumb > [data-live] button, #new-reading > summary")
            expect(thumb.first).to_be_in_viewport(ratio=1)
            expect(thumb.last).to_be_in_viewport(ratio=1)
            expect(page.locator(".band")).to_be_in_viewport(ratio=1)
