"""Text on pictures: large enough to be read, and on nothing else."""

from itertools import combinations

import pytest
from playwright.sync_api import Page

WORDS = """(svg) => [...document.querySelectorAll(svg + " text")].map((e) => {
  const box = e.getBoundingClientRect(), scale = e.getScreenCTM().a;
  const size = scale * parseFloat(getComputedStyle(e).fontSize);
  // Of a line's height the letters take the middle.
  return { text: e.textContent, size, x: box.x, right: box.right, y: box.y + box.height * 0.25,
    bottom: box.bottom - box.height * 0.2 };
})"""


@pytest.mark.parametrize("width", [320, 390])
@pytest.mark.parametrize("svg", [".side .plane", "details .plane"])
def test_of_a_set(sample: Page, width: int, svg: str):
    page = sample
    page.set_viewport_size({"width": width, "height": 844})
    page.goto("/sets/1?view=plane")
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    check(page.evaluate(WORDS, svg), width)


@pytest.mark.parametrize("width", [320, 390])
def test_of_the_whites(sample: Page, width: int):
    page = sample
    page.set_viewport_size({"width": width, "height": 844})
    page.goto("/sets/1/whites")
    page.get_by_role("img", name="Map of whites").wait_for()
    check(page.evaluate(WORDS, ".plane"), width)


def check(words: list[dict], width: int) -> None:
    assert len(words) >= 6
    for word in words:
        assert word["size"] >= 14, word
        assert word["x"] >= 0 and word["right"] <= width, word
    for one, other in combinations(words, 2):
        across = max(one["x"], other["x"]) - min(one["right"], other["right"])
        along = max(one["y"], other["y"]) - min(one["bottom"], other["bottom"])
        assert max(across, along) >= 0, (one, other)
