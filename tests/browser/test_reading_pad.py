"""The reading pad: three taps from the board to a saved reading, all of it above a phone's keypad."""

import re
from itertools import combinations

import pytest
from axe_playwright_python.sync_playwright import Axe
from flask import Flask
from playwright.sync_api import Locator, Page, expect

from advisor.model import Reading, Stage, Work
from tests.browser.crew import Crew, read, says, waiting
from tests.browser.test_access import BEYOND, MEASURE, TAGS, between

pytestmark = pytest.mark.usefixtures("plain")

SEEN = {"width": 390, "height": 360}
"""What a keypad leaves of a phone's screen. Common practice, no source. [px]"""


@pytest.fixture
def page(crew: Crew) -> Page:
    return crew.phone("Jo", "/sources/5")


@pytest.fixture
def sets(here: Flask):
    return here.extensions["advisor"].sets


def pad(page: Page) -> Locator:
    return page.get_by_role("dialog", name="New reading of ")


def opened(page: Page) -> Locator:
    page.locator("#new-reading > summary").tap()
    expect(pad(page)).to_be_visible()
    return pad(page)


def hang(sets, gel: str) -> None:
    work = Work(stage=Stage.HUNG, gels=[gel])
    sets.update_source(5, sets.get_source(5).source.model_copy(update={"work": work}))


def test_three_taps_from_the_board_to_a_saved_reading(crew: Crew, sets):
    page = crew.phone("Jo", "/sets/1")
    taps: list[str] = []
    page.expose_function("tapped", lambda words: taps.append(words))
    page.add_init_script("addEventListener('click', (e) => tapped(e.target.textContent.trim()), true)")
    page.goto("/sets/1")
    page.get_by_role("list", name="Sources").get_by_role("link", name="Backlight").tap()
    page.get_by_text("New reading").tap()
    expect(page.get_by_label("CCT", exact=True)).to_be_focused()
    page.keyboard.type("4290")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Duv", exact=True)).to_be_focused()
    page.keyboard.type("85")
    expect(pad(page)).to_contain_text("read as 0.0085")
    expect(page.locator(".pad-answer strong")).to_have_text(re.compile(r"^Hang\s½\sCTB"))
    pad(page).get_by_role("button", name="Save", exact=True).tap()
    expect(page.get_by_text("Reads 4 290 K, Duv +0.0085")).to_be_visible()
    assert sets.get_source(5).source.reading == Reading(cct=4290, duv=0.0085)
    assert len(taps) == 3
    # What it said while it was typed is what the head's page says now.
    expect(page.locator(".far").first).to_contain_text("½")


def test_all_that_is_needed_is_above_the_keypad(page: Page, sets, base: str):
    page.set_viewport_size(SEEN)
    _above_the_keypad(page)
    page.context.add_cookies([{"name": "look", "value": "day", "url": base}])
    hang(sets, "CTB full")
    _above_the_keypad(page)


def _above_the_keypad(page: Page) -> None:
    page.evaluate("localStorage.clear()")  # nothing was typed before
    page.goto("/sources/5")
    opened(page)
    page.keyboard.type("4290")
    page.keyboard.press("Enter")
    page.keyboard.type("-85")
    expect(page.locator(".pad-answer strong")).to_be_visible()
    told = (".pad output", ".pad-answer strong", ".pad-answer .gauge")
    for part in ("#cct", "#duv", *told, ".pad form > .main"):
        expect(page.locator(part).first).to_be_in_viewport(ratio=1)
    save = page.locator(".pad form > .main").bounding_box()
    answer = page.locator(".pad-answer").bounding_box()
    assert answer["y"] + answer["height"] <= save["y"] + 1
    assert page.locator("#duv").evaluate("(e) => e.scrollWidth <= e.clientWidth")
    # What Save covers can be scrolled free.
    page.locator(".pad form > .main").evaluate("(e) => { e.style.position = 'static'; }")
    options = {"runOnly": {"type": "tag", "values": TAGS}}
    wrong = Axe().run(page, context=".pad", options=options).response["violations"]
    assert [(rule["id"], node["html"]) for rule in wrong for node in rule["nodes"]] == []


def test_on_every_screen_the_fields_and_save_are_seen(page: Page, sets):
    hang(sets, "CTB full")
    page.goto("/sources/5")
    opened(page)
    page.keyboard.type("25000")
    page.keyboard.press("Enter")
    page.keyboard.type("-0.0085")
    expect(page.locator(".pad-answer strong")).to_be_visible()
    for width, height in ((320, 640), (320, 380), (390, 660), (844, 390), (844, 190), (1280, 800)):
        page.set_viewport_size({"width": width, "height": height})
        page.locator("#duv").scroll_into_view_if_needed()
        _seen_on(page)


def _seen_on(page: Page) -> None:
    for part in ("#cct", "#duv", ".pad form > .main", ".pad-answer strong"):
        expect(page.locator(part).first).to_be_in_viewport(ratio=1)
    for part in ("#cct", "#duv"):
        assert page.locator(part).evaluate("(e) => e.scrollWidth <= e.clientWidth"), part
    assert page.evaluate(BEYOND) <= 0
    boxes = page.evaluate(MEASURE)
    assert len(boxes) > 6 and [b for b in boxes if min(b["width"], b["height"]) < 47.95] == []
    assert [(a, b) for a, b in combinations(boxes, 2) if between(a, b) < 7.95] == []


FIRST = """() => {
  const { x, y, width, height } = document.querySelector(".pad").getBoundingClientRect();
  const over = (top) => document.elementFromPoint(innerWidth / 2, top).closest(".pad") !== null;
  const edges = [4, innerWidth - 4].flatMap((left) => [8, innerHeight - 8].map((top) => [left, top]));
  const covered = edges.every(([left, top]) => document.elementFromPoint(left, top).closest(".thumb"));
  return [x, y, width, height, covered && over(8) && over(innerHeight - 8), document.activeElement.id];
}"""


@pytest.mark.parametrize("size", [(390, 844), (844, 390)])
def test_what_is_painted_first_stays_once_the_page_is_out_of_reach(page: Page, size: tuple[int, int]):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.evaluate("() => { window.lost = 0; document.getElementById('cct').onblur = () => { lost += 1; }; }")
    opening = "document.querySelector('#new-reading > summary').click(); return (" + FIRST + ")();"
    first = page.evaluate("() => {" + opening + "}")
    expect(page.locator(".pad:modal")).to_be_visible()
    assert page.evaluate(FIRST) == first
    assert first[-2:] == [True, "cct"]
    assert page.evaluate("lost") == 0  # else a phone's keypad would go


def test_a_keypad_that_covers_the_page_leaves_the_pad_above_it(page: Page):
    """Phones keep the page as large as it is, and tell what of it is seen (CSSOM View, VisualViewport)."""
    opened(page)
    page.evaluate("""() => {
      for (const [name, value] of [["height", 360], ["width", 390], ["offsetTop", 12], ["scale", 1]])
        Object.defineProperty(visualViewport, name, { get: () => value, configurable: true });
      visualViewport.dispatchEvent(new Event("resize"));
    }""")
    box, save = pad(page).bounding_box(), page.locator(".pad form > .main").bounding_box()
    assert (box["y"], box["height"]) == (12, 360)
    assert save["y"] + save["height"] <= 372


def test_text_of_200_percent_loses_nothing(crew: Crew, sets):
    hang(sets, "CTB full")
    page = crew.phone("Jo", "/sources/5", bypass_csp=True)
    page.set_viewport_size({"width": 320, "height": 640})
    page.add_style_tag(content="html { font-size: 200%; }")
    opened(page)
    page.get_by_label("CCT", exact=True).fill("4290")
    page.get_by_label("Duv", exact=True).fill("-85")
    expect(page.locator(".pad-answer strong")).to_be_visible()
    assert page.evaluate(BEYOND) <= 0
    for name in ("CCT", "Duv"):
        expect(page.get_by_label(name, exact=True)).to_be_in_viewport(ratio=1)
    expect(pad(page).get_by_role("button", name="Save", exact=True)).to_be_in_viewport(ratio=1)
    assert page.locator(".either .tick").last.bounding_box()["height"] < 80, "no word is broken into letters"


def test_in_forced_colours_what_is_chosen_is_seen(crew: Crew, sets):
    hang(sets, "CTB full")
    page = crew.phone("Jo", "/sources/5", forced_colors="active")
    opened(page)
    behind, bare = page.locator(".either .tick").all()
    weight = "(e) => getComputedStyle(e).fontWeight"
    assert (behind.evaluate(weight), bare.evaluate(weight)) == ("700", "400")
    bare.tap()
    assert (behind.evaluate(weight), bare.evaluate(weight)) == ("400", "700")
    expect(bare.locator("input")).to_be_checked()


def test_escape_closes_it_and_what_was_typed_is_there_again(page: Page, sets):
    button = page.locator("#new-reading > summary")
    button.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_label("CCT", exact=True)).to_be_focused()
    page.keyboard.type("4290")
    page.keyboard.press("Escape")
    expect(pad(page)).to_be_hidden()
    expect(button).to_be_focused()
    expect(button).to_have_text("Finish the reading")
    page.reload()  # it was put away: it does not come in the way of the head
    expect(page.locator(".far")).to_be_in_viewport()
    expect(pad(page)).to_be_hidden()
    expect(button).to_have_text("Finish the reading")
    opened(page)
    expect(page.get_by_label("CCT", exact=True)).to_have_value("4290")
    expect(pad(page)).to_contain_text("What you typed here before is back")
    pad(page).get_by_role("button", name="Forget it").tap()
    pad(page).get_by_role("button", name="Close").tap()
    expect(button).to_have_text("New reading")
    assert len(sets.readings_of(5)) == 1


def test_what_was_being_typed_when_the_page_went_is_open_again(page: Page):
    opened(page)
    page.keyboard.type("4290")
    page.reload()
    expect(pad(page)).to_be_visible()
    expect(page.get_by_label("CCT", exact=True)).to_have_value("4290")


def test_what_is_refused_stays_in_the_pad_with_the_error(page: Page, sets):
    hang(sets, "CTB full")
    page.goto("/sources/5")
    opened(page)
    page.keyboard.type("56000")
    page.keyboard.press("Enter")
    page.keyboard.type("85")
    # It is told before it is saved.
    expect(page.locator(".pad-answer")).to_contain_text("CCT 56000 is out of range.")
    page.get_by_text("Bare", exact=True).tap()
    pad(page).get_by_role("button", name="Save", exact=True).tap()
    expect(pad(page).get_by_role("alert")).to_contain_text("CCT 56000 is out of range")
    expect(page.locator(".pad-answer")).to_be_empty()  # once is enough
    expect(page.get_by_label("CCT", exact=True)).to_be_focused()
    assert [page.locator(f"#{name}").input_value() for name in ("cct", "duv")] == ["56000", "85"]
    expect(page.get_by_label("Bare")).to_be_checked()
    page.keyboard.type("3000")  # what stood there was chosen: it goes with the first key
    expect(pad(page).get_by_role("alert")).to_have_count(0)
    pad(page).get_by_role("button", name="Save", exact=True).tap()
    page.wait_for_url("**/sources/5")
    expect(pad(page)).to_be_hidden()
    assert sets.get_source(5).source.reading == Reading(cct=3000, duv=0.0085)


def test_without_a_link_it_keeps_the_reading_and_is_put_away(page: Page, sets):
    opened(page)
    page.context.set_offline(True)
    page.keyboard.type("4290")
    page.keyboard.press("Enter")
    page.keyboard.type("85")
    expect(page.locator(".pad-answer")).to_have_text("OFFLINE. Save keeps it here.")
    expect(pad(page)).to_contain_text("read as 0.0085")
    pad(page).get_by_role("button", name="Save", exact=True).tap()
    expect(pad(page)).to_be_hidden()
    expect(page.locator("#new-reading > summary")).to_have_text("New reading")
    says(page, "OFFLINE. 1 reading kept here.")
    page.context.set_offline(False)
    expect(waiting(page)).to_have_count(0)
    expect(page.get_by_text("Reads 4 290 K, Duv +0.0085")).to_be_visible()
    assert [r.reading.duv for r in sets.readings_of(5)] == [-0.0003, 0.0085]


def test_what_is_folded_says_the_level_that_is_typed(page: Page):
    opened(page)
    fold = pad(page).locator("summary", has_text="Lux, ")
    before = fold.inner_text()
    fold.tap()
    page.locator("#level").fill("60")
    expect(fold).to_contain_text("Lux, level 60 %, ")
    page.locator("#level").fill("")
    expect(fold).to_contain_text("Lux, level, ")
    assert "60" not in before


def test_the_answer_comes_once_the_link_is_back(page: Page):
    opened(page)
    page.context.set_offline(True)
    page.get_by_label("CCT", exact=True).fill("4290")
    page.get_by_label("Duv", exact=True).fill("0.0085")
    expect(page.locator(".pad-answer")).to_have_text("OFFLINE. Save keeps it here.")
    page.context.set_offline(False)
    expect(page.locator(".pad-answer strong")).to_contain_text("Hang")


def test_two_people_with_the_pad_open(crew: Crew, sets):
    """Mia hangs something while Jo types: it is said before he saves, and asked."""
    page = crew.phone("Jo", "/sources/5")
    opened(page)
    page.keyboard.type("5500")
    hang(sets.by("Mia"), "CTB full")
    read(crew.phone("Bo", "/sources/5"), "3100", "0.001")
    page.keyboard.press("Enter")
    page.keyboard.type("10")
    expect(page.locator(".pad-answer")).to_contain_text(re.compile(r"ull\sCTB hangs on it now"))
    pad(page).get_by_role("button", name="Save", exact=True).tap()
    expect(pad(page).get_by_role("alert")).to_contain_text(re.compile(r"ull\sCTB hangs on it now"))
    expect(page.get_by_label("With full CTB")).not_to_be_checked()
    expect(page.get_by_label("Bare")).not_to_be_checked()
    page.get_by_text("With full CTB", exact=True).tap()
    expect(page.locator(".pad-answer strong")).to_be_visible()
    pad(page).get_by_role("button", name="Save", exact=True).tap()
    page.wait_for_url("**/sources/5")
    expect(pad(page)).to_be_hidden()
    assert sets.get_source(5).source.work.read_behind == Reading(cct=5500, duv=0.001, gels=["CTB full"])


def test_what_waits_says_what_it_was_read_behind(page: Page, sets):
    hang(sets, "CTB full")
    page.goto("/sources/5")
    page.context.set_offline(True)
    says(page, "OFFLINE.")
    read(page, "5500", "0.001")
    waiting(page).locator("summary").click()
    told = waiting(page).get_by_role("listitem")
    expect(told).to_contain_text(re.compile(r"With full\sCTB, CCT 5500, Duv 0\.001"))
    expect(told).not_to_contain_text("Bare")
