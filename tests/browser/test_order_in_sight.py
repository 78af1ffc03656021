"""What is ordered of a head is read without a touch: no line of it lies under a bar that stays in sight."""

from flask import Flask
from playwright.sync_api import Page

from advisor.model import Stage, Work
from tests.browser.crew import heard

SIZES = ((844, 390), (390, 660), (390, 844), (320, 640))
HUNG = {
    2: ["CTB full", "CTB 1/4", "Plus green 1/2"],
    3: ["CTO 1/2", "Plus green 1/4", "CTO 1/8"],
    4: ["CTB 1/2", "CTB 1/8", "Minus green 1/2", "Plus green 1/8"],
}
COVERED = """() => {
  const lines = [], hidden = [], range = document.createRange();
  for (const p of document.querySelectorAll(".far p:not(.unseen), .one-head .answer")) {
    range.selectNodeContents(p);
    lines.push(...[...range.getClientRects()].filter((box) => box.width > 1).map((box) => [p, box]));
  }
  for (const [p, box] of lines)
    for (const [x, y] of [[box.left + 1, box.top + 1], [box.right - 1, box.bottom - 1]]) {
      const top = document.elementFromPoint(x, y);
      if (!top || top.closest(".thumb, .status, .places")) hidden.push(`${p.innerText} at ${Math.round(y)}`);
    }
  return { lines: lines.length, hidden };
}"""
"""The lines of what is ordered, and those that something lies over, or that are beyond the screen."""


def test_no_line_of_an_order_lies_under_a_bar(sample: Page, here: Flask):
    sets = here.extensions["advisor"].sets
    for head, gels in HUNG.items():
        source = sets.get_source(head).source
        work = Work(stage=Stage.HUNG, gels=gels)
        sets.update_source(head, source.model_copy(update={"work": work}))
    source = sets.get_source(6).source
    work = Work(stage=Stage.PLANNED, gels=["CTB full", "CTB 1/4", "Plus green 1/8"])
    sets.update_source(6, source.model_copy(update={"work": work}))
    hidden, most = [], 0
    for head in (2, 3, 4, 6):
        sample.goto(f"/sources/{head}")
        heard(sample)
        for width, height in SIZES:
            sample.set_viewport_size({"width": width, "height": height})
            found = sample.evaluate(COVERED)
            most = max(most, found["lines"])
            hidden += [f"{head}, {width} × {height}: {words}" for words in found["hidden"]]
    assert hidden == []
    assert most >= 6, "an order of several lines is among them"
