"""How the pages lie on a phone's screen: nothing wider than it, nothing too small to touch."""

import pytest
from playwright.sync_api import Page

PATHS = [
    "/",
    "/?cct=2720&duv=-0.0104&kind=tungsten",
    "/?cct=99&duv=9&lux=x&target_cct=1",
    "/sets",
    "/sets/new",
    "/sets/1",
    "/sets/1/edit",
    "/sets/1/paste",
    "/sets/1/sources/new",
    "/sources/6",
    "/sources/6?gel=CTB+3%2F4&gel=Minus+green+3%2F4&gel=Minus+green+1%2F8&gel=Plus+green+full",
    "/sources/6/edit",
    "/gels",
    "/gels/new",
    "/gels/edit?name=Minus+green+full",
    "/gels/import",
    "/nothing",
]
LONG = "Unbreakablywide" * 5

TOO_SMALL = """() => {
  const touched = "button, .button, select, textarea, nav a, summary, .entry, .tick, li a, input[type=file]";
  const shown = [...document.querySelectorAll(touched)].filter((e) => e.checkVisibility());
  return shown.map((e) => [e.outerHTML.slice(0, 80), e.getBoundingClientRect()])
    .filter(([, box]) => Math.round(box.height) < 48 || Math.round(box.width) < 48)
    .map(([html, box]) => `${html} ${box.width} x ${box.height}`);
}"""


@pytest.mark.parametrize("width", [390, 320])
def test_no_page_is_wider_than_the_screen(sample: Page, width: int):
    page = sample
    page.set_viewport_size({"width": width, "height": 844})
    for path in PATHS:
        page.goto(path)
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path


def test_a_long_name_makes_no_page_wider(sample: Page):
    page = sample
    page.set_viewport_size({"width": 320, "height": 844})
    page.goto("/sets/1/edit")
    page.get_by_label("Name").fill(LONG)
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/sets/1")
    page.goto("/sources/1/edit")
    page.get_by_label("Name").fill(LONG)
    page.get_by_label("Note").fill(LONG)
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/sources/1")
    page.goto("/gels/new")
    page.get_by_label("Family").fill(LONG[:40])
    page.get_by_label("Fraction").fill("full")
    page.get_by_label("Shift", exact=True).fill("31")
    page.get_by_role("button", name="Save").tap()
    page.wait_for_url("**/gels")
    for path in (
        "/sets",
        "/sets/1",
        "/sets/1/edit",
        "/sources/1",
        "/sources/1/edit",
        "/sets/1/paste",
        "/gels",
    ):
        page.goto(path)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, path


def test_what_is_touched_is_48_px_or_more(sample: Page):
    page = sample
    for path in PATHS:
        page.goto(path)
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        assert page.evaluate(TOO_SMALL) == [], path


def test_main_actions_are_72_px(sample: Page):
    page = sample
    for path in PATHS:
        page.goto(path)
        heights = page.evaluate("[...document.querySelectorAll('.main')].map((e) => e.offsetHeight)")
        assert all(h == 0 or h >= 72 for h in heights), path
