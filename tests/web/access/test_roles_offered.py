"""What a page offers is what the person who looks at it may do: every form and every link on every page."""

import re

import pytest
from werkzeug.exceptions import HTTPException
from werkzeug.routing import RequestRedirect

from advisor.model import Reading
from advisor.sample import sample_set
from advisor.web.access.rights import GIVEN, needed
from tests.heads import keep_tested
from tests.web.page import Page
from tests.web.phones import ADDRESS, host, joined, open_app
from tests.web.test_every_page import addresses

MORE = (
    "/sets?removed=2",
    "/sets/1?removed=3",
    "/sets/2",
    "/sources/1",
    "/sources/4",
    "/sources/5",
    "/sources/6?gel=CTO+1%2F4",
    "/sets/3",
    "/sets/3/days",
    "/sets/3/light",
    "/sets/4",
    "/sets/4/days",
)
FORMS = (
    "/sets/new",
    "/sets/1/edit",
    "/sets/1/sources/new",
    "/sources/2/edit",
    "/sources/2/openings",
    "/sets/1/paste",
    "/sets/import",
    "/formats",
    "/gels/new",
    "/gels/edit?name=CTO+1%2F4",
    "/gels/import",
    "/gels/teach",
    "/gels/truck",
    "/heads/new",
    "/heads/1/edit",
    "/sets/1/heads",
)


@pytest.fixture
def app(tmp_path, closing):
    """An application where much was done: something removed, hung, put away, switched off, stopped."""
    app = closing(open_app(tmp_path / "data"))
    sets = app.extensions["advisor"].sets
    sets.create_set(sample_set(), sample=True)
    keep_tested(app.extensions["advisor"].heads)
    laptop = host(app)
    laptop.post("/sample")
    laptop.post("/sets/2/delete")
    laptop.post("/sets/1/duplicate")
    laptop.post("/sources/3/delete")
    laptop.post("/sources/4/work", {"action": "plan", "stack": '{"gels": ["CTO 1/4"]}', "revision": "1"})
    laptop.post("/sources/5/work", {"action": "hung", "stack": '{"gels": ["CTB 1/4"]}', "revision": "1"})
    laptop.post("/sets/1/cautions", {"hide": "heat"})
    laptop.post("/gels/switch", {"name": "CTO 1/4"})
    laptop.post("/gels/switch", {"name": "CTO 1/2"})
    laptop.post("/sets/new", {"name": "Alone", "target_cct": "5600", "target_locus": "daylight",
                              "tolerance_steps": "3", "max_layers": "3"})  # fmt: skip
    laptop.get("/sets/1/whites")
    laptop.post("/sets/1/whites/stop")
    return app


@pytest.mark.parametrize("role", GIVEN)
def test_no_page_offers_what_the_one_who_looks_may_not_do(app, role):
    browser, right = joined(app, role), GIVEN[role]
    adapter = app.url_map.bind(ADDRESS)
    offered, count = [], 0
    for path in [*(path for _, path in addresses(app)), *MORE]:
        with browser.get(path) as answer:
            if answer.mimetype != "text/html" or answer.status_code != 200:
                continue
            page = Page(answer)
        asked = [("POST", action or path) for action in page.posts] + [
            ("GET", link) for link in page.links if link[0] != "#"
        ]
        for method, to in asked:
            try:
                view, _ = adapter.match(re.split("[?#]", to)[0] or path.partition("?")[0], method=method)
            except (HTTPException, RequestRedirect):
                offered.append((path, method, to))
                continue
            count += 1
            if needed(view, changing=method == "POST") > right:
                offered.append((path, method, to))
    assert offered == []
    assert count > 150


def test_a_page_that_is_a_form_alone_opens_for_those_who_may_send_it(app):
    changes, meters = joined(app, "change"), joined(app, "meter", "Tom", "192.168.7.30")
    for path in FORMS:
        assert changes.open(path).status == 200, path
        page = meters.open(path)
        assert page.status == 403, path
        assert "this takes somebody who can change" in page.heading, path


def test_what_is_not_offered_is_still_said(app):
    browser = joined(app, "look")
    assert "CTO not in use" in browser.open("/gels").text
    assert "To match the target." in browser.open("/sets/1/compare").text
    assert "The source is removed." in browser.open("/sets/1?removed=3").text
    assert "At the level of the newest bare reading." in browser.open("/sources/1").text


def test_who_may_only_meter_is_told_that_a_set_comes_from_others(tmp_path, closing):
    app = closing(open_app(tmp_path / "empty"))
    words = "Ask somebody who can change sets to make one."
    assert words in joined(app, "meter").open("/sets").text
    assert words not in joined(app, "change", "Ana", "192.168.7.31").open("/sets").text


def test_whoever_only_looks_is_told_of_a_reading_at_another_level_and_presses_nothing(app):
    sets = app.extensions["advisor"].sets
    sets.add_reading(5, Reading(cct=3190, duv=0, level=100))
    sets.update_source(5, sets.get_source(5).source.model_copy(update={"level": 100.0}))
    sets.add_reading(5, Reading(cct=2900, duv=0, level=40))
    text = joined(app, "look").open("/sources/5").text
    assert "The last reading was at 40 %, it is used at 100 %." in text and "Use it at" not in text
    assert "Use it at 40 %" in joined(app, "change").open("/sources/5").text
