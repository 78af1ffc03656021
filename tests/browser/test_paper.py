"""What comes out of the printer, as the browser prints it."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from advisor.model import Reading, Setting, Stage, Work
from advisor.sample import sample_set
from advisor.store import SetStore
from advisor.web.app import create_app
from tests.browser.conftest import serving
from tests.browser.test_access import BROKEN, twelve
from tests.conftest import Closing


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def fill_in(sets: SetStore) -> None:
    """Add what a sheet can hold to every source: level, modifier, dial, what hung and what was found."""
    for stored in sets.get_set(1).sources:
        gels = ["CTO 1/4", "Minus green 1/8"]
        tags = {"level": 80, "modifier": "Large softbox", "dial": Setting(cct=5600, green=-2)}
        again = Reading.model_validate({**dict(stored.source.reading), **tags})
        work = Work(stage=Stage.HUNG, gels=gels)
        sets.update_source(stored.id, stored.source.model_copy(update={"reading": again, "work": work}))
        sets.add_reading(stored.id, Reading(cct=5550, duv=0.0041, lux=1020, gels=gels))


@pytest.fixture
def sheet(browser: Browser, tmp_path: Path, closing: Closing):
    """Print the sheet of a set with the first `count` sources of the invented twelve."""

    def printed(count: int, paper: str, look: str = "night", *, full: bool = False) -> bytes:
        app = closing(create_app(tmp_path / f"{count}{paper}{look}"))
        light_set = twelve()
        sources = [
            s.model_copy(update={"name": f"{s.name} through the door"}) for s in light_set.sources[:count]
        ]
        sets = app.extensions["advisor"].sets.by("Noor on the floor")
        sets.create_set(light_set.model_copy(update={"sources": sources}))
        if full:
            fill_in(sets)
        with serving(app) as base:
            context = browser.new_context(base_url=base)
            context.add_cookies([{"name": "look", "value": look, "url": base}])
            page = context.new_page()
            page.goto("/sets/1/sheet")
            pdf = page.pdf(format=paper)
            page.emulate_media(media="print")
            assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
            assert not page.get_by_role("navigation").is_visible()
            assert page.get_by_role("columnheader", name="Hung, read again").is_visible()
            context.close()
        return pdf

    return printed


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_eight_sources_are_one_page(sheet, paper: str):
    assert pages(sheet(8, paper)) == 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_eight_sources_with_all_that_was_done_are_one_page(sheet, paper: str):
    assert pages(sheet(8, paper, full=True)) == 1


def test_twelve_are_two_at_most_and_the_day_look_prints_the_same(sheet):
    assert pages(sheet(12, "A4")) == pages(sheet(12, "A4", look="day")) <= 2


def test_no_word_or_unit_of_the_sheet_is_broken(browser: Browser, tmp_path: Path, closing: Closing):
    app = closing(create_app(tmp_path / "sheet"))
    app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
    with serving(app) as base:
        # As wide as it prints: A4 without its margins.
        page = browser.new_page(base_url=base, viewport={"width": 703, "height": 920})
        page.emulate_media(media="print")
        page.goto("/sets/1/sheet")
        # Large text may break behind a space that ties a unit to its number; on paper none is large.
        assert page.evaluate(BROKEN.replace(r"\u00a0", "")) == []
        page.close()


def test_of_the_record_older_changes_are_printed_too(browser: Browser, tmp_path: Path, closing: Closing):
    app = closing(create_app(tmp_path / "record"))
    sets = app.extensions["advisor"].sets.by("Noor on the floor")
    sets.create_set(twelve())
    for k in range(40):
        sets.update_set(1, note=f"note {k}")
    with serving(app) as base:
        context = browser.new_context(base_url=base, viewport={"width": 390, "height": 844})
        page = context.new_page()
        page.goto("/sets/1/record")
        first = page.get_by_text("Set made").first
        assert not first.is_visible()
        tall = page.evaluate("document.documentElement.scrollHeight")
        page.emulate_media(media="print")
        assert first.is_visible()
        assert page.locator("button, .button").filter(visible=True).count() == 0
        assert page.evaluate("document.documentElement.scrollHeight") > tall / 2
        page.emulate_media(media="screen")
        assert pages(page.pdf(format="A4")) >= 2
        context.close()
    assert tall < 3500


def test_what_is_tapped_or_filled_in_is_not_printed(browser: Browser, tmp_path: Path, closing: Closing):
    app = closing(create_app(tmp_path / "tapped"))
    app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
    entry = "input:not([type=hidden]), select, textarea, button, .button, summary"
    tapped = f"{entry}, :text-matches('^Tap|Another laptop')"
    with serving(app) as base:
        page = browser.new_page(base_url=base, viewport={"width": 703, "height": 920})
        for path in ("/sets/1/compare", "/sets/1/light", "/sets/1/record", "/sources/5", "/gels"):
            page.emulate_media(media="screen")
            page.goto(path)
            assert page.locator(tapped).filter(visible=True).count() > 0, path
            page.emulate_media(media="print")
            assert page.get_by_role("heading", level=1).is_visible()
            assert page.locator(tapped).filter(visible=True).all_inner_texts() == [], path
        page.close()


def test_on_a_tag_gels_stand_as_high_as_what_is_beside_them(
    browser: Browser, tmp_path: Path, closing: Closing
):
    app = closing(create_app(tmp_path / "tags"))
    app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
    with serving(app) as base:
        page = browser.new_page(base_url=base, viewport={"width": 703, "height": 920})
        page.goto("/sets/1/tags")
        tops = "[...document.querySelectorAll('.line-art li')].map((l) => getComputedStyle(l).paddingTop)"
        assert set(page.evaluate(tops)) == {"12px"}
        page.close()


def test_cautions_are_on_paper_where_nobody_opened_them(browser: Browser, tmp_path: Path, closing: Closing):
    app = closing(create_app(tmp_path / "cautions"))
    app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
    with serving(app) as base:
        page = browser.new_page(base_url=base, viewport={"width": 703, "height": 920})
        for path in ("/sets/1", "/sources/2", "/sets/1/sheet"):
            page.emulate_media(media="screen")
            page.goto(path)
            caution = page.get_by_text("Never leave it unwatched").first
            assert caution.is_visible() == path.endswith("sheet"), path
            page.emulate_media(media="print")
            assert caution.is_visible(), path
        page.close()


def test_the_mark_of_what_needs_hands_is_printed(browser: Browser, tmp_path: Path, closing: Closing):
    """Printers leave grounds out: a light mark on a dark ground would be blank paper."""
    app = closing(create_app(tmp_path / "marks"))
    app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
    with serving(app) as base:
        page = browser.new_page(base_url=base)
        page.goto("/sets/1")
        page.emulate_media(media="print")
        mark = page.locator(".state.hands").first
        assert mark.evaluate("(e) => getComputedStyle(e).color") == "rgb(0, 0, 0)"
        page.close()


def test_the_gel_table_is_one_page(browser: Browser, tmp_path: Path, closing: Closing):
    app = closing(create_app(tmp_path / "gels"))
    with serving(app) as base:
        page = browser.new_page(base_url=base)
        page.goto("/gels")
        assert pages(page.pdf(format="A4")) == 1
        page.close()


def test_six_tags_are_one_page(browser: Browser, tmp_path: Path, closing: Closing):
    app = closing(create_app(tmp_path / "six"))
    app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
    with serving(app) as base:
        page = browser.new_page(base_url=base)
        page.goto("/sets/1/tags")
        assert pages(page.pdf(format="A4")) == 1
        page.close()
