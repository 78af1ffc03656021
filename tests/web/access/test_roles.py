"""What roles mean to people: what is offered, who is told what. The table is in test_rights.py."""

import pytest

from advisor.web.access.rights import CHANGING
from advisor.web.app import create_app
from tests.conftest import own_pages
from tests.web.page import Page
from tests.web.phones import Browser, host, joined, open_app

SAFE = {"GET", "HEAD", "OPTIONS"}
VALUES = {
    "set_id": 1,
    "number": 1,
    "source_id": 2,
    "phone_id": 99,
    "reading_id": 2,
    "change_id": 3,
    "head_id": 1,
    "test_id": 1,
}
READING = {"cct": "5600", "duv": "0.001"}


@pytest.fixture
def app(tmp_path, closing):
    return closing(open_app(tmp_path / "data"))


def unsafe(app):
    """Every view that takes more than a question, with an address of it."""
    with app.test_request_context():
        for rule in app.url_map.iter_rules():
            if rule.methods - SAFE:
                _, path = rule.build({k: v for k, v in VALUES.items() if k in rule.arguments})
                yield rule.endpoint, path


def test_every_view_that_changes_something_is_in_the_table(app):
    views = {view for view, _ in unsafe(app)}
    assert len(views) > 30
    assert views - set(CHANGING) == set(), "give these their least right in web/access/rights.py"
    assert set(CHANGING) - views == set(), "these are no views"


def test_a_view_that_was_forgotten_is_the_hosts_alone(app):
    app.add_url_rule("/new", "new", lambda: "done", methods=["POST"])
    assert joined(app, "change").post("/new").status_code == 403
    assert host(app).post("/new").text == "done"


def test_a_page_offers_nobody_what_they_may_not_do(app, sample):
    for role, offered in (("change", True), ("meter", False)):
        page = joined(app, role).open("/sources/1")
        assert ("/sources/1/edit" in page.links) is offered
        assert ("/sets/1/edit" in joined(app, role).open("/sets/1").links) is offered


def test_who_may_meter_meters(app, sample):
    browser = joined(app, "meter")
    answer = browser.post("/sources/2/reading", READING)
    assert answer.status_code == 302
    assert app.extensions["advisor"].sets.get_source(2).source.reading.cct == 5600


def test_who_may_not_is_told_who_can_and_gets_back_what_was_typed(app, sample):
    joined(app, "meter", "Tom", "192.168.7.30")
    gone = joined(app, "change", "Ana", "192.168.7.31")
    assert gone.get("/sets").status_code == 200
    host(app).post("/host/phones/2/revoke")
    browser = joined(app, "look", "Mia")
    page = Page(browser.post("/sources/2/reading", {**READING, "note": "<b>"}))
    assert page.status == 403
    assert page.heading == "Mia can look, and this takes somebody who can confirm and meter"
    assert "Ask one of these: whoever is at the laptop, Tom." in page.text
    assert "CCT 5600" in page.text and "Note <b>" in page.text
    assert browser.token not in page.text


@pytest.mark.parametrize("path", ["/host"])
@pytest.mark.parametrize("role", ["look", "change"])
def test_the_hosts_page_is_the_hosts_alone(app, role, path):
    answer = joined(app, role).get(path)
    assert answer.status_code == 403
    codes = app.extensions["people"].secrets.codes
    assert codes.typed not in answer.text and codes.scanned not in answer.text


def test_a_role_that_changes_counts_from_the_next_request(app, sample):
    browser, laptop = joined(app, "look"), host(app)
    assert browser.post("/sources/2/reading", READING).status_code == 403
    laptop.post("/host/phones/1/role", {"role": "meter"})
    assert browser.post("/sources/2/reading", READING).status_code == 302
    laptop.post("/host/phones/1/role", {"role": "look"})
    assert browser.post("/sources/2/reading", READING).status_code == 403


@pytest.mark.parametrize(
    ("path", "words"),
    [("/sets", "New set"), ("/sets/1", "Add a source"), ("/sources/2", "Remove"), ("/gels", "Add a gel")],
)
def test_main_actions_are_there_for_those_who_may(app, sample, path, words):
    assert f">{words}<" in joined(app, "change").get(path).text
    assert f">{words}<" not in joined(app, "meter").get(path).text


def test_every_page_is_open_to_those_who_look(app, sample):
    browser = joined(app, "look")
    for path in ("/", "/sets", "/sets/1", "/sources/2", "/sets/1/compare", "/sets/1/light", "/gels", "/look"):
        assert browser.open(path).status == 200, path


def test_without_a_network_everybody_at_the_laptop_is_the_host(tmp_path, closing):
    client = own_pages(closing(create_app(tmp_path / "alone")))
    assert client.post("/sample").status_code == 302
    assert client.get("/host").status_code == 200


def test_a_person_who_is_unknown_can_do_nothing(app):
    browser = Browser(app)
    browser.client.set_cookie("advisor_phone", "x" * 43, domain="192.168.7.1")
    assert browser.get("/sets").status_code == 303
