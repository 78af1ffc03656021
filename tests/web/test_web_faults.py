"""What goes wrong is told in words, on every page and in the API's shape."""

import sqlite3

import pytest

from advisor.store import StoreFault
from tests.web.page import Page


@pytest.mark.parametrize(
    "path",
    [
        "/nothing",
        "/sets/99",
        "/sets/99/edit",
        "/sets/99/paste",
        "/sources/99",
        "/sources/99/edit",
        "/sets/x",
        "/sets/" + "9" * 40,
    ],
)
def test_what_is_not_there_says_so_and_leads_back(get, path):
    page = get(path)
    assert page.status == 404
    assert page.heading == "There is no such page"
    assert "/sets" in page.links


@pytest.mark.parametrize(
    "path",
    ["/sets/99/edit", "/sets/99/delete", "/sets/99/restore", "/sets/99/sources/new", "/sources/99/edit",
     "/sources/99/reading", "/sources/99/delete", "/sources/99/restore", "/sources/" + "9" * 40 + "/restore"],
)  # fmt: skip
def test_a_form_to_what_is_not_there_says_so(post, path):
    good = {"name": "A", "cct": "5600", "duv": "0", "target_cct": "5600", "target_locus": "daylight"}
    assert post(path, good).status == 404


def test_a_wrong_kind_of_request_says_what_is_allowed(client):
    answer = client.get("/sample")
    assert answer.status_code == 405
    assert set(answer.allow) == {"POST", "OPTIONS"}
    assert Page(answer).heading == "This address does not take that kind of request"


def test_too_much_is_refused_before_it_is_used(post):
    page = post("/sets/new", {"name": "x" * 2_000_001})
    assert page.status == 413
    assert "At most 1 MB" in page.text


@pytest.fixture
def broken(app):
    def view(**_):
        raise ZeroDivisionError("not for the person at the phone")

    app.view_functions["quick.quick_check"] = app.view_functions["api.post_advice"] = view


def test_a_mistake_of_ours_says_that_nothing_was_lost(broken, get):
    page = get("/")
    assert page.status == 500
    assert page.heading == "The advisor made a mistake; what was saved before is unharmed"
    assert "not for the person" not in page.html
    assert "Traceback" not in page.html


def test_a_mistake_of_ours_on_the_api(broken, client):
    answer = client.post("/api/v1/advice", json={})
    assert answer.status_code == 500
    assert answer.json["errors"][0]["says"].startswith("The advisor made a mistake")


@pytest.mark.parametrize(
    ("error", "says"),
    [
        (StoreFault("The disk is full. Free some space."), "The disk is full"),
        (sqlite3.OperationalError("odd"), "mistake"),
    ],
)
def test_a_disk_that_is_full_is_told_as_such(app, stores, monkeypatch, post, error, says):
    def fail(*_, **__):
        raise error

    monkeypatch.setattr(type(stores.sets), "create_set", fail)
    page = post("/sample")
    assert page.status == (503 if isinstance(error, StoreFault) else 500)
    assert says in page.heading
