"""A set with very many readings is read from the file aside: no page waits for that, and what writes does."""

import threading

import pytest

from advisor.store import SetStore
from advisor.web import state
from advisor.web.live import aside
from advisor.web.live.jobs import Jobs
from tests.web.page import Page

MOST = 30.0
"""How long a test waits for what does come. [s]"""


@pytest.fixture
def gate(client, sample, monkeypatch):
    """Hold the reading back until it is opened; so much is read while a page waits as there is not."""
    opened, jobs, read = threading.Event(), Jobs(), SetStore.read_ahead

    def held(sets, set_id):
        for one in read(sets, set_id):
            assert opened.wait(MOST)
            yield one

    client.application.extensions["advisor"].sets._kept._kept.clear()
    monkeypatch.setattr(state, "FEW_READINGS", 3)
    monkeypatch.setattr(SetStore, "read_ahead", held)
    monkeypatch.setattr(aside, "PATIENCE", 0.0)
    monkeypatch.setattr(aside, "JOBS", jobs)
    monkeypatch.setattr("advisor.web.pages.phones.working.JOBS", jobs)
    yield opened
    opened.set()
    settle(jobs)


def settle(jobs):
    for job in list(jobs._jobs.values()):
        job.wait(MOST)


def test_a_page_says_how_far_it_is_and_comes_once_all_is_read(client, gate):
    answer = client.get("/sets/1")
    assert answer.status_code == 503 and Page(answer).heading == "The set is being worked out"
    assert client.get("/api/v1/sets/1").json["errors"][0]["allowed"] == "ask again in a second"
    assert [client.get(path).status_code for path in ("/live/1", "/sets", "/gels")] == [200] * 3
    gate.set()
    settle(aside.JOBS)
    assert Page(client.get("/sets/1")).heading == "Bakery before dawn (invented sample)"
    assert client.get("/api/v1/sets/1").status_code == 200


def test_a_reading_waits_for_none_of_it(client, gate):
    assert client.get("/sources/2").status_code == 503
    assert client.post("/sources/2/reading", data={"cct": "5600", "duv": "0.001"}).status_code == 302


def test_it_can_be_stopped_and_begun_again(client, gate):
    client.get("/sets/1")
    [number] = aside.JOBS._jobs
    client.post(f"/working/{number}/stop", data={"next": "/sets/1"})
    assert Page(client.get("/sets/1")).heading == "The set was stopped"
    client.post(f"/working/{number}/again", data={"next": "/sets/1"})
    gate.set()
    client.get("/sets/1")
    settle(aside.JOBS)
    assert client.get("/sets/1").status_code == 200
