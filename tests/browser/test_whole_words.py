"""What a phone of 390 px shows whole: the button that is due, numbers in their fields, words in choices."""

from flask import Flask
from playwright.sync_api import Page, expect

from advisor.model import Stage, Work
from tests.browser.crew import heard


def test_what_is_due_after_a_swap_is_on_the_first_screen(sample: Page, here: Flask):
    page, sets = sample, here.extensions["advisor"].sets
    head = sets.get_source(4).source
    page.goto("/sources/4")
    page.get_by_role("button", name="Hung", exact=True).tap()
    page.get_by_role("button", name="Confirm as it is").wait_for()
    work = sets.get_source(4).source.work
    assert isinstance(work, Work) and work.stage is Stage.HUNG
    read = head.reading.model_copy(update={"cct": 5250.0, "duv": 0.0035, "lux": 120.0, "gels": work.gels})
    sets.add_reading(4, read, work.model_copy(update={"read_behind": read}), work)
    page.goto("/sources/4")
    done = page.get_by_role("button", name="Added", exact=True)
    heard(page)
    expect(done).to_be_in_viewport(ratio=1)
    box, below = done.bounding_box(), page.locator("#new-reading").bounding_box()
    assert box and below and (box["y"], box["x"]) < (below["y"], below["x"])
    done.tap()
    expect(page.get_by_text("Meter it with the gel on")).to_be_visible()


def test_a_figure_of_a_gel_is_seen_whole(sample: Page):
    page = sample
    page.goto("/gels/edit?name=CTO+1%2F4")
    page.get_by_label("Mired shift", exact=True).fill("−133.48")
    assert page.get_by_label("Mired shift", exact=True).evaluate("(e) => e.scrollWidth <= e.clientWidth")


def test_choices_take_the_whole_row(sample: Page):
    page = sample
    for path, name in (("/sources/6", "Hang another one"), ("/sets/1/compare", "Warmer or cooler")):
        page.goto(path)
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        box = page.get_by_label(name).first.bounding_box()
        assert box and box["width"] > 250, name


def test_use_it_so_stands_beside_its_field(sample: Page):
    page = sample
    page.goto("/sources/1")
    heard(page)
    button = page.get_by_role("button", name="Use", exact=True).bounding_box()
    field = page.locator(".entry", has=page.locator("#use_level")).bounding_box()
    assert button and field
    assert abs(button["y"] - field["y"]) < 4


def test_no_line_begins_with_a_dot(sample: Page):
    page = sample
    page.goto("/?cct=2720&duv=0.0002&lux=95")
    # However wide the line is: what stands in it depends on the numbers.
    starts = page.evaluate("""() => {
      const p = document.querySelector(".answer + p"), found = [], range = document.createRange();
      for (let width = 150; width <= 358; width += 2) {
        p.style.width = `${width}px`;
        const walk = document.createTreeWalker(p, NodeFilter.SHOW_TEXT);
        for (let node; (node = walk.nextNode()); ) for (const dot of node.data.matchAll("·")) {
          range.setStart(node, dot.index);
          range.setEnd(node, dot.index + 1);
          if (range.getBoundingClientRect().left < p.getBoundingClientRect().left + 2) found.push(width);
        }
      }
      return found;
    }""")
    assert starts == []


def test_only_the_answer_is_read_aloud(sample: Page):
    page = sample
    page.goto("/")
    page.get_by_label("CCT", exact=True).press_sequentially("6800")
    page.get_by_label("Duv", exact=True).press_sequentially("0.004")
    said = page.locator("#said")
    expect(said).to_contain_text("Hang ¼ CTO")
    assert len(said.inner_text()) < 150
    assert page.locator("#answer").get_attribute("aria-live") is None
