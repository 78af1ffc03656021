"""Text on pictures: large enough to be read, and on nothing else."""

from itertools import combinations

from playwright.sync_api import Page

WORDS = """(svg) => [...document.querySelectorAll(svg + " text")].map((e) => {
  const box = e.getBoundingClientRect(), scale = e.getScreenCTM().a;
  const size = scale * parseFloat(getComputedStyle(e).fontSize);
  // Of a line's height the letters take the middle.
  return { text: e.textContent, size, x: box.x, right: box.right, y: box.y + box.height * 0.25,
    bottom: box.bottom - box.height * 0.2 };
})"""


WIDTHS = (320, 390)


def test_of_a_set(sample: Page):
    sample.goto("/sets/1?view=plane")
    sample.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    for width in WIDTHS:
        sample.set_viewport_size({"width": width, "height": 844})
        for svg in (".side .plane", "details .plane"):
            check(sample.evaluate(WORDS, svg), width)


def test_of_the_whites(sample: Page):
    sample.goto("/sets/1/whites")
    sample.get_by_role("img", name="Map of whites").wait_for()
    for width in WIDTHS:
        sample.set_viewport_size({"width": width, "height": 844})
        check(sample.evaluate(WORDS, ".plane"), width)


def check(words: list[dict], width: int) -> None:
    assert len(words) >= 6
    for word in words:
        assert word["size"] >= 14, word
        assert word["x"] >= 0 and word["right"] <= width, word
    for one, other in combinations(words, 2):
        across = max(one["x"], other["x"]) - min(one["right"], other["right"])
        along = max(one["y"], other["y"]) - min(one["bottom"], other["bottom"])
        assert max(across, along) >= 0, (one, other)
