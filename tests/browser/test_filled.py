"""What is filled is read where colours are forced, and is no field of light in the dim look."""

from collections.abc import Iterator

import pytest
from flask import Flask
from playwright.sync_api import Browser

from advisor.sample import sample_set
from tests.browser.conftest import PHONE, serving

FILLED = {"/sets/1": ".state.hands", "/sources/6": ".band.reached", "/sets/1/compare": ".switch .on"}
COVERED = """() => {
  const ground = getComputedStyle(document.body).backgroundColor;
  const of = [...document.querySelectorAll("body *")].filter((one) => one.getClientRects().length);
  return of.map((one) => [one, getComputedStyle(one), getComputedStyle(one, "::before")])
    .filter(([one, own, before]) => own.color === ground && own.forcedColorAdjust !== "none"
      && (one.innerText || before.content !== "none"))
    .map(([one]) => one.className);
}"""
"""What has the colour of the ground where colours are forced: there it lies on a plate of that colour."""


@pytest.fixture
def base(here: Flask) -> Iterator[str]:
    here.extensions["advisor"].sets.create_set(sample_set(), sample=True)
    with serving(here) as address:
        yield address


def test_words_on_what_is_filled_are_seen_where_colours_are_forced(browser: Browser, base: str):
    page = browser.new_page(base_url=base, viewport=PHONE, forced_colors="active")
    for path, what in FILLED.items():
        page.goto(path)
        assert page.locator(what).count()
        assert page.evaluate(COVERED) == [], path
    page.close()


def test_in_the_dim_look_a_band_is_no_field_of_light(browser: Browser, base: str):
    context = browser.new_context(base_url=base, viewport=PHONE)
    context.add_cookies([{"name": "look", "value": "dim", "url": base}])
    page = context.new_page()
    for path in ("/sources/6", "/sets/1/compare"):
        page.goto(path)
        ground = page.locator(FILLED[path]).evaluate("(e) => getComputedStyle(e).backgroundColor")
        # Of #242424 at most, text of #8c8c8c keeps 4.5:1 (WCAG 2.2).
        assert 0 < int(ground.partition("(")[2].partition(",")[0]) <= 0x24, path
    context.close()
