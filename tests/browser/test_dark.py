"""At night on a set: dimmer still, the screen stays on over a head, and a phone may lie on its side."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.crew import until

RATIO = """(name) => {
  const linear = (c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4);
  const style = getComputedStyle(document.documentElement);
  const luminance = (of) => {
    const hex = style.getPropertyValue(of).trim().slice(1);
    const [r, g, b] = [0, 2, 4].map((at) => linear(parseInt(hex.slice(at, at + 2), 16) / 255));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  return (luminance(name) + 0.05) / (luminance("--ground") + 0.05);
}"""
"""The contrast of two colours, as WCAG 2.2 defines it."""
SIDE = {"width": 844, "height": 390}
LOCK = """
window.held = [];
Object.defineProperty(navigator, "wakeLock", { value: { request: async (type) => {
  const lock = { type, released: false, release: async () => { lock.released = true; } };
  held.push(lock);
  return lock;
} } });
"""


@pytest.fixture
def dim(sample: Page, base: str) -> Page:
    sample.context.add_cookies([{"name": "look", "value": "dim", "url": base}])
    sample.goto("/sources/5")
    return sample


def test_text_is_dimmer_and_still_read(dim: Page):
    assert 6 < dim.evaluate(RATIO, "--text") < 7
    assert dim.evaluate(RATIO, "--quiet") > 4.5
    assert dim.evaluate(RATIO, "--line") > 3


def test_patches_are_darker_all_by_the_same_share_and_white_on_paper(dim: Page):
    filters = "[...document.querySelectorAll('.patch')].map((p) => getComputedStyle(p).filter)"
    assert set(dim.evaluate(filters)) == {"brightness(0.5)"}
    dim.emulate_media(media="print")
    assert set(dim.evaluate(filters)) == {"none"}
    assert dim.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"


def test_the_screen_stays_on_over_a_head_and_ten_minutes_after_the_last_touch(page: Page, plain: int):
    page.add_init_script(LOCK)
    page.clock.install()
    page.goto("/sources/5")
    until(page, "held.length === 1 && held[0].type === 'screen'")
    page.clock.run_for(540_000)  # the clock goes on by itself too, as long as the test takes
    assert page.evaluate("held[0].released") is False
    page.clock.run_for(61_000)
    assert page.evaluate("held[0].released") is True
    page.locator("h1").tap()
    until(page, "held.length === 2 && !held[1].released")


def test_no_other_page_keeps_it_on(page: Page, plain: int):
    page.add_init_script(LOCK)
    page.goto(f"/sets/{plain}")
    expect(page.locator("#status")).to_contain_text("Last change")
    assert page.evaluate("held.length") == 0


@pytest.mark.parametrize("path", ["/sources/5", "/?cct=6800&duv=0.004&kind=daylight"])
def test_on_its_side_what_to_do_is_left_of_what_it_is_made_of(sample: Page, path: str):
    sample.set_viewport_size(SIDE)
    sample.goto(path)
    boxes = "(all) => all.map((e) => e.getBoundingClientRect().toJSON())"  # all at one time
    left, *_, right = sample.locator(".two > *").evaluate_all(boxes)
    assert left["x"] + left["width"] < right["x"]
    assert abs(left["y"] - right["y"]) < 24
    assert sample.evaluate("document.documentElement.scrollWidth") <= 844
    expect(sample.locator(".path").first).to_be_in_viewport()
