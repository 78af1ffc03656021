"""A phone begins at its own last page, else at today's set, else at the list of sets."""

import sqlite3
from urllib.parse import quote

import pytest

from tests.bakery import bakery


@pytest.fixture
def begins(client):
    """Where a phone is led that showed a page last, by the cookie that its browser sends."""

    def led(last: str = "") -> str:
        client.set_cookie("last", quote(last), path="/start")
        answer = client.get("/start")
        assert answer.status_code == 302
        return answer.location

    return led


@pytest.fixture
def sets(stores):
    first, second = (stores.sets.create_set(bakery()) for _ in range(2))
    return first, second


def test_without_a_set_it_is_the_list(begins, client):
    assert begins() == "/sets"
    assert client.get("/today").location == "/sets"


def test_it_is_the_set_that_was_changed_last_today(begins, client, sets, stores):
    assert begins() == "/sets/2"
    stores.sets.delete_source(1)
    assert begins() == client.get("/today").location == "/sets/1"


def test_the_invented_set_is_today_s_where_there_is_no_other(begins, client, stores):
    stores.sets.create_set(bakery(), sample=True)
    assert begins() == "/sets/1"
    stores.sets.create_set(bakery())
    stores.sets.delete_source(1)
    assert begins() == "/sets/2"


def test_a_set_of_another_day_is_not_today_s(begins, sets, app):
    with sqlite3.connect(app.extensions["database"].path) as conn:
        conn.execute("UPDATE sets SET changed_at = '2020-02-03T12:00:00.000+00:00'")
    conn.close()
    assert begins() == "/sets"


@pytest.mark.parametrize("last", ["/sources/3", "/sets/1/light", "/gels", "/?cct=5600&duv=0.001"])
def test_its_last_page_comes_before_the_set(begins, sets, last):
    assert begins(last) == last


@pytest.mark.parametrize(
    "last",
    ["/nothing", "/start", "/join", "/live/1", "/sources/99", "/sets/99", "https://elsewhere.example/sets/1",
     "//elsewhere.example/sets/1", "\\", "%"],
)  # fmt: skip
def test_what_is_no_page_any_more_or_none_of_ours_is_passed_over(begins, sets, last):
    assert begins(last) == "/sets/2"


def test_a_last_page_that_was_removed_is_passed_over(begins, sets, stores):
    stores.sets.delete_source(3)
    assert begins("/sources/3") == "/sets/1"
    stores.sets.delete_set(1)
    assert begins("/sets/1/light") == begins("/sources/4") == "/sets/2"
