"""At night on a set: dimmer still, the screen stays on over a head, and a phone may lie on its side."""

import re
from base64 import b64encode

import pytest
from flask import Flask
from playwright.sync_api import Page, expect

from advisor.advice.plan.make import make_plan
from advisor.model import Limits
from tests.advice.decided import hung_as
from tests.advice.rows import nominal
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


TOP_ROW = """async (png) => {
  const image = new Image();
  image.src = `data:image/png;base64,${png}`;
  await image.decode();
  const drawn = new OffscreenCanvas(image.width, image.height).getContext("2d");
  drawn.drawImage(image, 0, 0);
  return [...drawn.getImageData(0, 1, image.width, 1).data].filter((_, at) => at % 4 === 0);
}"""
"""The red of each pixel in the second row of a picture: the first may be half of a pixel."""


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


def test_in_forced_colours_what_a_mark_says_covers_none_of_its_box(page: Page, plain: int, here: Flask):
    """A browser lays a plate behind each letter there: the box of “=” had neither top nor bottom."""
    sets = here.extensions["advisor"].sets
    source = sets.get_source(5).source
    best = make_plan([source], sets.get_set(plain).target, Limits(), nominal()).heads[0].best
    sets.update_source(5, hung_as(source, best))
    page.emulate_media(forced_colors="active")
    page.goto("/sources/5")
    mark = page.locator(".band .state.meter")
    expect(mark).to_be_visible()
    row = page.evaluate(TOP_ROW, b64encode(mark.screenshot()).decode())
    assert max(row) - min(row) < 64, "the line of the box goes all the way across"
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert abs(row[len(row) // 2] - int(re.findall(r"\d+", ground)[0])) > 128
