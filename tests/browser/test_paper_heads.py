"""The test sheet of a head, as the browser prints it: one page, and of a very long test two at most."""

from pathlib import Path

import pytest
from playwright.sync_api import Browser

from advisor.model import HeadTest
from advisor.web.app import create_app
from tests.browser.conftest import serving
from tests.browser.test_paper import pages
from tests.conftest import Closing
from tests.heads import PANEL, read

NINE = HeadTest(levels=[100, 50, 10], modifiers=["", "dish", "softbox"], distance=3.0, minutes_on=20)
SIXTY = HeadTest(
    levels=[100, 90, 80, 70, 60, 50, 40, 30, 20, 10],
    modifiers=["", "dish", "softbox", "silk", "grid", "lantern"],
    distance=3.0,
)
THIRTY = SIXTY.model_copy(update={"modifiers": SIXTY.modifiers[:3]})


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(
    ("test", "most"), [(NINE, 1), (THIRTY, 1), (SIXTY, 2)], ids=["nine", "thirty", "sixty"]
)
def test_the_sheet_of_a_test_is_one_page(
    browser: Browser, tmp_path: Path, closing: Closing, paper, test, most
):
    app = closing(create_app(tmp_path / "data"))
    heads = app.extensions["advisor"].heads
    test_id = heads.begin_test(heads.add_head(PANEL), test)
    for k, step in enumerate(test.steps):
        more = {"lux": 20 * step.level, "watts": 120, "ra": 96, "r9": 88, "rf": 93, "rg": 101}
        taken = read(step.level, step.setup.modifier, cct=5813 - 7 * k % 170, duv=0.0001 * (k % 40), **more)
        heads.take_reading(test_id, taken)
    with serving(app) as base:
        context = browser.new_context(base_url=base)
        page = context.new_page()
        page.goto("/tests/1/sheet")
        pdf = page.pdf(format=paper)
        page.emulate_media(media="print")
        assert not page.get_by_role("navigation").is_visible()
        assert page.locator(".noprint").filter(visible=True).count() == 0, "its name stood twice"
        assert page.get_by_role("columnheader", name="Also read").is_visible()
        context.close()
    assert pages(pdf) <= most
