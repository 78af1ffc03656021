"""A plan that takes long is made aside: pages say how far it is, others go on, and it can be stopped."""

import threading

import pytest

from advisor.advice.plan.make import make_plan
from advisor.advice.stacks.kept import Kept, TooMuchMissing
from advisor.advice.stacks.watch import NotWanted, watched
from advisor.web.live import aside
from advisor.web.live.jobs import Job, Jobs
from advisor.web.pages.sets import sets
from advisor.web.plans import kept
from tests.bakery import bakery
from tests.web.page import Page
from tests.web.phones import joined, open_app

MOST = 30.0
"""How long a test waits for what does come. [s]"""


@pytest.fixture
def gate(monkeypatch):
    """Hold every plan back until it is opened; what is asked for waits for none, and nothing is at hand."""
    opened, jobs, plan = threading.Event(), Jobs(), kept.make_plan

    def held(*given):
        if not threading.current_thread().name.startswith("job "):
            raise TooMuchMissing
        assert opened.wait(MOST)
        return plan(*given)

    monkeypatch.setattr(kept, "make_plan", held)
    monkeypatch.setattr(kept, "FEW_SOURCES", 0)
    monkeypatch.setattr(aside, "PATIENCE", 0.0)
    monkeypatch.setattr(aside, "JOBS", jobs)
    monkeypatch.setattr("advisor.web.pages.phones.working.JOBS", jobs)
    kept._planned.cache_clear()
    sets._drawn.cache_clear()
    yield opened
    opened.set()
    for thread in threading.enumerate():
        if thread.name.startswith("job "):
            thread.join(MOST)


def settle(jobs):
    for job in list(jobs._jobs.values()):
        job.wait(MOST)


def test_a_page_says_how_far_it_is_and_shows_the_plan_once_it_is_there(client, sample, gate):
    answer = client.get("/sets/1")
    page = Page(answer)
    assert answer.status_code == 503 and answer.headers["Retry-After"] == "1"
    assert page.heading == "The plan is being worked out"
    ask = next(part for part in answer.text.split('"') if part.startswith("/working/"))
    assert client.get(ask).json == {"state": "running", "percent": 0}
    gate.set()
    settle(aside.JOBS)
    assert client.get(ask).json == {"state": "done", "percent": 0}
    assert client.get("/sets/1").status_code == 200


def test_meanwhile_other_pages_and_readings_are_answered(client, sample, gate):
    assert client.get("/sets/1").status_code == 503
    for path in ("/live/1", "/sets", "/gels", "/look"):
        assert client.get(path).status_code == 200
    assert client.post("/sources/2/reading", data={"cct": "5600", "duv": "0.001"}).status_code == 302


def test_it_can_be_stopped_and_gone_on_with(client, sample, gate):
    first = Page(client.get("/sets/1/compare"))
    number = next(iter(aside.JOBS._jobs))
    stopped = client.post(f"/working/{number}/stop", data={"next": first.fields["next"]})
    assert stopped.location == "/sets/1/compare"
    page = Page(client.get("/sets/1/compare"))
    assert page.heading == "The plan was stopped"
    client.post(f"/working/{number}/again", data={"next": "/sets/1/compare"})
    assert Page(client.get("/sets/1/compare")).heading == "The plan is being worked out"
    gate.set()
    settle(aside.JOBS)
    assert client.get("/sets/1/compare").status_code == 200


def test_a_way_back_leads_nowhere_else(client, sample, gate):
    answer = client.post("/working/0/stop", data={"next": "http://elsewhere.example/"})
    assert answer.location == "/sets"


def test_a_program_is_told_when_to_ask_again(client, sample, gate):
    answer = client.get("/api/v1/sets/1")
    assert answer.status_code == 503 and answer.headers["Retry-After"] == "1"
    assert answer.json["errors"][0]["allowed"] == "ask again in a second"


def test_who_only_looks_cannot_stop_it(tmp_path, closing, gate):
    app = closing(open_app(tmp_path / "data"))
    app.extensions["advisor"].sets.create_set(bakery())
    page = joined(app, "look").open("/sets/1")
    assert page.status == 503 and ">Stop<" not in page.html
    assert joined(app, "look").post("/working/0/stop").status_code == 403


class TestWatched:
    def test_what_was_made_before_it_was_stopped_is_kept(self):
        store, made = Kept(), []

        def make(places):
            made.extend(places)
            return places

        with pytest.raises(NotWanted), watched(lambda share: None, lambda: len(made) >= 8):
            store.of_all([str(i) for i in range(20)], make)
        assert made == list(range(8)) and len(store) == 8
        assert store.of_all([str(i) for i in range(20)], make) == list(range(20))
        assert made == list(range(20))

    def test_it_tells_how_much_is_done(self):
        told = []
        with watched(told.append, lambda: False):
            Kept().of_all(list(range(20)), lambda places: places, told=True)
        assert told == [0.0, 0.4, 0.8]


class TestOwners:
    def test_one_at_a_time_for_each_while_others_go_on(self):
        jobs, going, begun = Jobs(), threading.Event(), []

        def work(name):
            return lambda tell, stop: (begun.append(name), going.wait(MOST))

        first = jobs.ask("1", work("first"), owner="phone 1")
        second = jobs.ask("2", work("second"), owner="phone 1")
        other = jobs.ask("3", work("other"), owner="phone 2")
        while len(begun) < 2:
            threading.Event().wait(0.005)
        threading.Event().wait(0.15)  # three looks for a turn
        assert sorted(begun) == ["first", "other"]
        going.set()
        for job in (first, second, other):
            job.wait(MOST)
        assert sorted(begun) == ["first", "other", "second"]


class TestOneForAll:
    """One plan of a set is one work, whoever began it and however often the set changes meanwhile."""

    def test_a_phone_that_meters_while_a_set_is_planned_begins_no_further_plan(self, client, sample, gate):
        for n in range(12):
            answer = client.get("/sets/1")
            assert answer.status_code == 503 and Page(answer).heading == "The plan is being worked out"
            data = {"cct": 4400 + n, "duv": "0.001"}
            assert client.post("/sources/2/reading", data=data).status_code == 302
        assert len(aside.JOBS._jobs) == 1

    def test_what_it_found_serves_the_set_as_it_is_by_then(self, client, sample, gate, monkeypatch):
        client.get("/sets/1")
        client.post("/sources/2/reading", data={"cct": "4444", "duv": "0.001"})
        gate.set()
        settle(aside.JOBS)
        monkeypatch.setattr(kept, "FEW_SOURCES", 1)  # the source that was read is made in the page's thread
        monkeypatch.setattr(kept, "make_plan", make_plan)
        assert Page(client.get("/sets/1")).heading == "Bakery before dawn (invented sample)"
        assert client.get("/api/v1/sets/1").json["sources"][1]["reading"]["cct"] == 4444
        assert len(aside.JOBS._jobs) == 1

    def test_a_way_to_stop_it_is_on_every_page_that_waits_for_it(self, client, sample, gate):
        client.get("/sets/1")
        client.post("/sources/2/reading", data={"cct": "4444", "duv": "0.001"})
        assert f"/working/{next(iter(aside.JOBS._jobs))}/stop" in Page(client.get("/sets/1")).posts

    def test_where_it_was_stopped_the_set_as_it_is_by_then_is_planned(self, client, sample, gate):
        client.get("/sets/1")
        [first] = aside.JOBS._jobs
        client.post(f"/working/{first}/stop")
        client.post("/sources/2/reading", data={"cct": "4444", "duv": "0.001"})
        assert Page(client.get("/sets/1")).heading == "The plan is being worked out"
        assert len(aside.JOBS._jobs) == 2

    def test_it_waits_for_no_work_of_the_phone_that_began_it(self, client, sample, gate):
        for other in range(8):
            aside.JOBS.ask(f"other {other}", lambda tell, unwanted: gate.wait(MOST), owner="laptop")
        answer = client.get("/sets/1")
        assert answer.status_code == 503 and Page(answer).heading == "The plan is being worked out"


def test_what_is_done_never_goes_back():
    """A part of a piece of work tells its own share, from nothing on."""
    job = Job()
    shown = []
    for share in (0.1, 0.18, 0.0, 0.37, 0.0, 0.5):
        job.tell(share)
        shown.append(job.percent)
    assert shown == [10, 18, 18, 37, 37, 50]
