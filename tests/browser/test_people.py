"""The three people on three screens, step by step; what it costs them is counted and printed.

A step is what a hand does: a field filled, a choice, a tap. ``pytest -rP`` prints the counts.
"""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import PATIENCE, PHONE
from tests.browser.crew import heard
from tests.thorough import in_turn

SCREENS = [PHONE, {"width": 320, "height": 568}, {"width": 1280, "height": 800}]
SIX = """name,kind,CCT,Duv,lux
Window,daylight,6800,0.0040,900
Door,discharge,5820,0.0068,1450
Panel,led-white,5480,-0.0021,410
Tubes,fluorescent,4180,0.0079,300
Back,tungsten,3190,-0.0003,640
Shelf,tungsten,2720,0.0002,95
"""


class Hand:
    """Fills and taps, and counts it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.fields = 0
        self.taps = 0

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label, exact=True).fill(text)
        self.fields += 1

    def choose(self, label: str, words: str, within: Locator | None = None) -> None:
        (within or self.page).get_by_label(label, exact=True).select_option(label=words)
        self.fields += 1

    def tap(self, what: Locator) -> None:
        what.click()
        self.taps += 1

    def tells(self, who: str, most_fields: int, most_taps: int) -> None:
        """Print what it took, and hold it to what it may take."""
        print(f"{who}: {self.fields} fields, {self.taps} taps, on {self.page.viewport_size['width']} px")
        assert self.fields <= most_fields
        assert self.taps <= most_taps


on_the_phone = pytest.mark.parametrize("hand", [PHONE], indirect=True, ids=["390"])


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Tell each story on one of the screens in turn, or on all, but for those that are of a phone alone."""
    marks = metafunc.definition.iter_markers("parametrize")
    if "hand" in metafunc.fixturenames and all(mark.args[0] != "hand" for mark in marks):
        at = list(vars(metafunc.module)).index(metafunc.function.__name__)
        sizes = in_turn(SCREENS, at)
        metafunc.parametrize("hand", sizes, indirect=True, ids=lambda size: str(size["width"]))


@pytest.fixture
def hand(request: pytest.FixtureRequest, browser: Browser, base: str) -> Iterator[Hand]:
    context = browser.new_context(viewport=request.param, base_url=base)
    context.set_default_timeout(PATIENCE)
    yield Hand(context.new_page())
    context.close()


@pytest.fixture
def on_the_sample(plain: int, hand: Hand) -> Hand:
    hand.page.goto(f"/sets/{plain}")
    return hand


def source(page: Page, name: str) -> Locator:
    return page.get_by_role("list", name="Sources").get_by_role("listitem").filter(has_text=name)


def answer(page: Page) -> Locator:
    return page.get_by_role("region", name="What to hang")


def test_anybody_checks_one_reading(hand: Hand):
    page = hand.page
    page.goto("/")
    hand.fill("CCT", "6800")
    hand.fill("Duv", "0,004")
    expect(page.get_by_role("heading", name=re.compile(r"^Hang ¼ CTO\b"), level=2)).to_be_in_viewport(ratio=1)
    expect(page.get_by_text(re.compile(r"^\s*−\d\.\d\sstops?\s*$")).first).to_be_in_viewport(ratio=1)
    hand.tells("Quick check", most_fields=2, most_taps=1)


def test_the_gaffer_pastes_six_and_has_a_plan(hand: Hand):
    page = hand.page
    page.goto("/")
    hand.tap(page.get_by_role("navigation").get_by_role("link", name="Sets"))
    hand.tap(page.get_by_role("link", name="New set"))
    hand.fill("Name", "Café, day 1")
    hand.tap(page.get_by_role("button", name="Save", exact=True))
    hand.tap(page.get_by_label("Add sources"))
    hand.tap(page.get_by_role("link", name="Paste readings"))
    hand.fill("Text with one or many readings, or spectra", SIX)
    hand.tap(page.get_by_role("button", name="Read it"))
    hand.tap(page.get_by_role("button", name="Save the ticked ones"))
    expect(page.get_by_role("heading", name="Café, day 1")).to_be_visible()
    expect(page.get_by_role("link", name=re.compile(r"\d to hang"))).to_be_visible()
    expect(page.get_by_role("list", name="Sources").get_by_role("listitem")).to_have_count(6)
    hand.tells("Gaffer, six from a paste to a plan", most_fields=2, most_taps=7)


def test_the_electric_reads_a_drifting_head_again(on_the_sample: Hand):
    page = on_the_sample.page
    page.goto("/sources/1")
    expect(answer(page)).to_contain_text(re.compile(r"Hang\s*¼\s*CTO"))
    expect(answer(page).get_by_text("¼", exact=True)).to_be_in_viewport(ratio=1)
    hand = on_the_sample
    hand.tap(answer(page).get_by_text("New reading"))
    hand.fill("CCT", "5600")
    hand.fill("Duv", "0,0033")
    hand.tap(page.get_by_role("button", name="Save", exact=True))
    expect(answer(page).get_by_text("Stays bare").first).to_be_in_viewport(ratio=1)
    hand.tells("Electric, a new reading on one head", most_fields=2, most_taps=3)


def test_the_answer_stays_where_it_is_while_a_reading_is_typed(on_the_sample: Hand):
    page = on_the_sample.page
    page.goto("/sources/1")
    heard(page)
    told = answer(page).get_by_text("¼", exact=True)
    before = told.bounding_box()
    answer(page).get_by_text("New reading").click()
    page.evaluate("scrollTo(0, 0)")
    assert told.bounding_box() == before


def test_the_answer_is_readable_from_a_metre(on_the_sample: Hand):
    page = on_the_sample.page
    page.goto("/sources/1")
    size = answer(page).get_by_text("CTO").first.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    assert size >= 36


def test_the_screen_of_one_head_keeps_its_light_low(on_the_sample: Hand):
    page = on_the_sample.page
    page.goto("/sources/1")
    share = mean_light(page)
    print(f"One head by night: {share:.1%} of a white screen's light, on {page.viewport_size['width']} px")
    assert share < 0.1


def mean_light(page: Page) -> float:
    """Return the screen's mean relative luminance (sRGB, IEC 61966-2-1), 1 for white."""
    shot = page.screenshot(type="png")
    return page.evaluate(
        """async (data) => {
          const bitmap = await createImageBitmap(new Blob([new Uint8Array(data)]));
          const canvas = new OffscreenCanvas(bitmap.width, bitmap.height).getContext("2d");
          canvas.drawImage(bitmap, 0, 0);
          const { data: d } = canvas.getImageData(0, 0, bitmap.width, bitmap.height);
          const linear = (v) => (v <= 10.3 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4);
          let sum = 0;
          for (let i = 0; i < d.length; i += 4)
            sum += 0.2126 * linear(d[i]) + 0.7152 * linear(d[i + 1]) + 0.0722 * linear(d[i + 2]);
          return sum / (d.length / 4);
        }""",
        list(shot),
    )


@pytest.fixture
def wants(on_the_sample: Hand) -> Callable[[str, str], None]:
    """Mark on the DP's page what is wanted of a source."""
    page = on_the_sample.page

    def mark(name: str, words: str) -> None:
        row = page.get_by_role("main").get_by_role("listitem")
        row = row.filter(has=page.get_by_role("link", name=name))
        on_the_sample.tap(row.locator("summary"))
        if words in ("Stays bare", "Correct it"):
            on_the_sample.tap(row.get_by_role("button", name=words))
        else:
            on_the_sample.choose("Warmer or cooler", words, row)
            on_the_sample.tap(row.get_by_role("button", name="Save", exact=True))

    return mark


def test_the_dp_sets_the_practicals_against_the_key(on_the_sample: Hand, wants):
    hand, page = on_the_sample, on_the_sample.page
    shelf = source(page, "Shelf lamps").get_by_role("link")
    corrected = shelf.inner_text()
    hand.tap(page.get_by_role("link", name="Compare"))
    hand.tap(page.get_by_role("link", name="Now", exact=True))
    expect(page.get_by_role("heading", level=1)).to_have_text("Shop window and Shelf lamps don’t match")
    rows = page.get_by_role("list", name="Sources: 5 off").get_by_role("listitem")
    expect(rows.first).to_contain_text("nearest to the target")
    marks = [re.search("[○◔◑●]", row)[0] for row in rows.all_inner_texts()[1:]]
    assert marks == sorted(marks, key="●◑◔○".index)
    expect(rows.nth(1)).to_contain_text("obvious")
    wants("Oven room tubes", "Stays bare")
    on_purpose = page.get_by_role("list", name="Off on purpose, not counted")
    expect(on_purpose).to_contain_text("Oven room tubes")
    wants("Shelf lamps", "half a CTO warmer")
    expect(on_purpose).to_contain_text("Shelf lamps")
    page.get_by_role("link", name="Bakery before dawn").click()
    expect(source(page, "Oven room tubes")).to_contain_text("Left alone: 4 Oven room tubes stays bare")
    assert shelf.inner_text() != corrected
    page.get_by_role("link", name="Compare").click()
    wants("Shelf lamps", "Correct it")
    expect(on_purpose).not_to_contain_text("Shelf lamps")
    page.get_by_role("link", name="Bakery before dawn").click()
    expect(shelf).to_have_text(re.compile(re.escape(corrected.split("\n")[-1])))
    hand.tells("DP, leave one, one half CTO warmer, one back", most_fields=1, most_taps=8)


@on_the_phone
def test_the_dp_takes_another_reference(on_the_sample: Hand):
    page = on_the_sample.page
    page.goto("/sets/1/compare")
    page.get_by_role("link", name="Now", exact=True).click()
    page.get_by_role("link", name="Backlight").first.click()
    expect(page.get_by_text("Beside Backlight, as it is now.")).to_be_visible()
    row = page.get_by_role("listitem").filter(has=page.get_by_role("link", name="Shop window"))
    expect(row).to_contain_text("CTB cool")


@on_the_phone
def test_foot_candles_go_in_and_come_out(on_the_sample: Hand):
    page = on_the_sample.page
    page.goto("/sources/1")
    page.get_by_role("link", name="Settings").click()
    page.get_by_label("Foot-candles").check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Reads 7 200 K, Duv +0.0041, 76.2 fc")).to_be_visible()
    answer(page).get_by_text("New reading").click()
    page.get_by_label("CCT", exact=True).fill("6700")
    page.get_by_label("Duv", exact=True).fill("0.004")
    page.get_by_text("Lux, level").click()
    page.get_by_label("Illuminance, if read").fill("80")
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("Reads 6 700 K, Duv +0.0040, 80 fc")).to_be_visible()
    for path in ("/sets/1", "/sources/1", "/sources/1/edit", "/sets/1/sheet", "/sets/1/paste"):
        page.goto(path)
        assert not re.search(r"\d\s?lx\b", page.get_by_role("main").inner_text()), path


@on_the_phone
def test_the_day_look_stays(on_the_sample: Hand):
    page = on_the_sample.page
    page.goto("/look")
    page.get_by_label("Day: light, for the sun").check()
    with page.expect_navigation():
        page.get_by_role("button", name="Save").click()
    page.goto("/sets/1")
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == "rgb(244, 244, 244)"
