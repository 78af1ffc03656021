"""The page that says which white all should go to, and the jobs behind it."""

import re
import threading
import time
from types import SimpleNamespace

import pytest

from advisor.advice.common_white.options import Whites
from advisor.model import LightSet, Target
from advisor.web.live.jobs import Jobs, JobState
from advisor.web.pages.sets import whites as page_of_whites
from advisor.web.pictures import white_map

MOST = 60
"""Longer than any search of these takes, so that a fault ends the test. [s]"""


@pytest.fixture
def jobs(monkeypatch):
    """Jobs of the test's own, which all have ended when it has."""
    own = Jobs()
    monkeypatch.setattr(page_of_whites, "JOBS", own)
    yield own
    for number in list(own._jobs):
        own.stop(number)
    for thread in threading.enumerate():
        if thread.name.startswith("job "):
            thread.join(MOST)


@pytest.fixture
def whites(jobs, sample, get, monkeypatch):
    """Open the page and wait for the answer."""
    monkeypatch.setattr(page_of_whites, "PATIENCE", MOST)
    return lambda: get("/sets/1/whites")


@pytest.fixture
def busy(jobs, sample, monkeypatch):
    """A search that goes on until it is stopped."""
    monkeypatch.setattr(page_of_whites, "PATIENCE", 0.0)

    def search(sources, target, limits, gels, progress, stopped, *, tints):
        progress(0.34)
        while not stopped():
            time.sleep(0.005)
        raise RuntimeError("stopped")

    monkeypatch.setattr(page_of_whites, "common_whites", search)


def ended(name):
    """Wait until no thread of a job is left."""
    for thread in threading.enumerate():
        if thread.name == name:
            thread.join(MOST)
            assert not thread.is_alive()


def number_of(page):
    return page.fields["job"]


class TestTheAnswer:
    def test_it_comes_first(self, whites):
        page = whites()
        assert page.status == 200
        assert page.heading == "Stay at 5 600 K daylight: white 1 saves too little for 4 cuts more"
        assert page.text.count("What hangs then") == 2, "the third costs more than to stay"
        assert "Now 5 600 K daylight: " in page.text
        assert "whites.js" not in page.html

    def test_every_white_says_what_it_saves_and_what_hangs(self, whites):
        page = whites()
        assert re.search(r"\d+ cuts, \d+\.\d stops lost over all sources", page.text)
        assert "Backlight: Hang" in page.text
        assert "Compared: 3 772 whites of 2 500 to 10 000 K on both loci" in page.text

    def test_where_none_costs_less_none_is_offered(self, whites, monkeypatch):
        monkeypatch.setattr(Whites, "offered", ())
        page = whites()
        assert "No other white costs less in all." in page.text
        assert "Go to white" not in page.text and "What hangs then" not in page.text
        assert "Now 5 600 K daylight: " in page.text

    def test_the_map_is_small_and_grey(self, whites):
        html = whites().html
        picture = html[html.index('<svg class="plane bleed"') : html.index("</svg>")]
        assert len(picture.encode()) <= 6000
        greys = re.findall(r'fill="#(\w{2})(\w{2})(\w{2})"', picture)
        assert len(greys) == 6
        assert picture.index('fill="url(#hatch)"') < picture.index('fill="#')  # what was not compared
        assert all(r == g == b for r, g, b in greys)
        assert re.findall(r'class="number[^>]*>(\w)<', picture) == ["1", "2"]
        assert (
            len(re.findall(r'class="mark"[^>]*>(?:now )?\d+\xa0?[ ]?cuts?<', picture)) >= 3
        )  # what each costs
        assert "camera takes out green" in picture and "CCT, K" in picture

    def test_the_answer_is_kept_until_something_changes(self, whites, stores, monkeypatch):
        first = whites()
        monkeypatch.setattr(page_of_whites, "common_whites", lambda *asked, **how: 1 / 0)
        assert whites().heading == first.heading
        stores.sets.update_set(1, target=Target(cct=4000))
        assert whites().status == 500

    def test_a_mistake_of_ours_is_not_kept(self, whites, monkeypatch):
        with monkeypatch.context() as broken:
            broken.setattr(page_of_whites, "common_whites", lambda *asked, **how: 1 / 0)
            assert whites().status == 500
        assert whites().status == 200

    def test_a_set_without_sources_says_what_to_do(self, jobs, stores, get, monkeypatch):
        monkeypatch.setattr(page_of_whites, "PATIENCE", MOST)
        stores.sets.create_set(LightSet(name="Empty", target=Target(cct=5600)))
        page = get("/sets/1/whites")
        assert page.heading == "Nothing to compare whites for yet"
        assert "Add a source" in page.text
        assert page.posts == []

    def test_a_target_that_was_removed_is_said_and_the_whites_still_come(self, whites, stores):
        stores.sets.update_set(1, target=Target(source="Backlight"))
        stores.sets.delete_source(5)
        page = whites()
        assert page.heading.startswith("Go to ")
        assert "The present target cannot be compared." in page.text
        assert "no source here is called 'Backlight'" in page.alerts[0]

    def test_limits_that_cannot_be_are_refused_with_a_way_on(self, whites, stores):
        limits = stores.sets.get_set(1).limits.model_copy(update={"exclude_families": ["Sunset"]})
        stores.sets.update_set(1, limits=limits)
        page = whites()
        assert page.status == 200
        assert page.heading == "Whites cannot be compared yet"
        assert "no gel is of the family 'Sunset'" in page.alerts[0]
        assert "/sets/1/whites/again" in page.posts

    def test_a_set_that_is_not_there(self, jobs, get):
        assert get("/sets/9/whites").status == 404


class TestAdopting:
    def test_one_tap_makes_it_the_target(self, whites, post, stores):
        fields = whites().fields  # those of the last white
        page = post("/sets/1/whites", fields)
        assert page.status == 200
        assert page.heading == "Bakery before dawn (invented sample)"
        target = stores.sets.get_set(1).target
        assert (f"{target.cct:g}", target.locus.value) == (fields["cct"], fields["locus"])
        assert target.tint == float(fields["tint"])
        assert (target.duv_offset, target.source) == (0.0, None)

    def test_the_offset_of_the_target_before_goes(self, whites, post, stores):
        stores.sets.update_set(1, target=Target(cct=5600, duv_offset=0.004))
        post("/sets/1/whites", {"cct": "4700", "locus": "daylight", "tint": "9", "revision": "2"})
        assert stores.sets.get_set(1).target == Target(cct=4700, tint=9)

    def test_the_white_adopted_is_as_good_as_any(self, whites, post, stores):
        """Of a target that leaves most off, another one saves cuts and leaves nobody newly off."""
        stores.sets.update_set(1, target=Target(cct=9000))
        form = re.search(r'<button class="main">Go to white 1', whites().html)
        assert form
        fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', whites().html[: form.start()]))
        post("/sets/1/whites", fields)
        page = whites()
        assert page.heading.startswith("Stay at ")
        assert 'class="main"' not in page.html

    def test_tints_are_asked_for_at_a_tap(self, whites, get):
        page = whites()
        assert "/sets/1/whites?tints=yes" in page.links
        asked = get("/sets/1/whites?tints=yes")
        assert asked.status == 200
        plain = re.findall(r"<h2>\d: ([^<]*)</h2>", page.html)
        tinted = ["taking out" in name for name in plain]
        assert tinted == sorted(tinted)

    @pytest.fixture
    def adopted(self, sample, post):
        """The set's page after a white was adopted, with the form that takes it back."""
        page = post("/sets/1/whites", {"cct": "4800", "locus": "daylight", "tint": "0", "revision": "1"})
        form = next(f for f in re.findall(r"<form.*?</form>", page.html, re.DOTALL) if "whites/back" in f)
        assert "To 4 800 K daylight now." in page.text
        return dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))

    def test_one_more_tap_takes_it_back(self, adopted, post, get, stores):
        post("/sources/5/reading", {"cct": "3100", "duv": "0"})  # is no reason against it
        page = post("/sets/1/whites/back", adopted)
        assert page.heading == "Bakery before dawn (invented sample)"
        assert "/sets/1/whites/back" not in page.posts
        assert stores.sets.get_set(1).target == Target(cct=5600)

    def test_a_target_that_somebody_set_meanwhile_stays(self, adopted, post, stores):
        stores.sets.by("Mia").update_set(1, target=Target(cct=4300))
        page = post("/sets/1/whites/back", adopted)
        assert page.status == 409
        assert "Mia changed this set meanwhile. Nothing was put back." in page.alerts[0]
        assert "4 300 K daylight" in page.text
        assert stores.sets.get_set(1).target == Target(cct=4300)

    def test_what_was_the_target_already_needs_no_way_back(self, sample, client):
        fields = {"cct": "5600", "locus": "daylight", "tint": "0", "revision": "1"}
        assert client.post("/sets/1/whites", data=fields).location == "/sets/1"

    def test_without_a_target_before_nothing_is_taken_back(self, sample, post, get):
        page = post("/sets/1/whites/back", {"revision": "1"})
        assert page.status == 422
        assert "there is no earlier target to go back to" in page.text
        assert "/sets/1/whites/back" not in get("/sets/1?adopted=yes").posts

    def test_two_at_once_lose_nothing(self, whites, post, stores):
        stores.sets.update_set(1, target=Target(cct=3200, locus="planckian"))
        page = post("/sets/1/whites", {"cct": "4700", "locus": "daylight", "tint": "9", "revision": "1"})
        assert page.status == 409
        assert stores.sets.get_set(1).target.cct == 3200
        assert "Its target is now 3 200 K Planckian." in page.alerts[0]
        assert "You chose 4 700 K daylight, camera taking out 9 CC of green." in page.alerts[0]
        mine = page.html[page.html.index('role="alert"') :].split("</form>")[0]
        fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', mine))
        assert post("/sets/1/whites", fields).status == 200
        assert stores.sets.get_set(1).target == Target(cct=4700, tint=9)

    @pytest.mark.parametrize(
        ("field", "value", "says"),
        [
            ("cct", "99", "CCT 99 is out of range"),
            ("tint", "80", "Tint 80 is out of range"),
            ("locus", "sunset", "sunset"),
        ],
    )
    def test_what_cannot_be_is_refused(self, whites, post, stores, field, value, says):
        given = {"cct": "4700", "locus": "daylight", "tint": "9", "revision": "1", field: value}
        page = post("/sets/1/whites", given)
        assert page.status == 422
        assert says in page.alerts[0]
        assert stores.sets.get_set(1).target == Target(cct=5600)


class TestWaiting:
    def test_the_page_says_how_far_it_is(self, busy, get):
        get("/sets/1/whites")
        page = get("/sets/1/whites")
        assert page.heading == "Comparing whites for all sources"
        assert "/sets/1/whites" in page.links
        assert "/sets/1/whites/stop" in page.posts
        assert "whites.js" in page.html

    def test_it_can_be_asked_without_the_page(self, busy, jobs, get, client):
        number = number_of(get("/sets/1/whites"))
        while jobs.look(number).share == 0.0:
            time.sleep(0.005)
        said = client.get(f"/sets/1/whites?part=progress&job={number}").json
        assert said == {"state": "running", "percent": 34}
        unknown = client.get("/sets/1/whites?part=progress&job=x").json
        assert unknown == {"state": "unknown", "percent": 0}

    def test_two_phones_share_one_search(self, busy, jobs, get):
        assert number_of(get("/sets/1/whites")) == number_of(get("/sets/1/whites"))
        assert len(jobs._jobs) == 1

    def test_no_search_survives_cancel(self, busy, get, post):
        number = number_of(get("/sets/1/whites"))
        page = post("/sets/1/whites/stop", {"job": number})
        assert page.heading == "The search was stopped"
        ended(f"job {number}")
        assert get("/sets/1/whites").heading == "The search was stopped"

    def test_it_can_be_begun_again(self, busy, jobs, get, post):
        number = number_of(get("/sets/1/whites"))
        post("/sets/1/whites/stop", {"job": number})
        page = post("/sets/1/whites/again")
        assert page.heading == "Comparing whites for all sources"
        assert jobs.look(number).state is JobState.RUNNING

    def test_to_cancel_what_is_not_there_does_no_harm(self, busy, post):
        assert post("/sets/1/whites/stop", {"job": "x"}).status == 200
        assert post("/sets/1/whites/stop").status == 200


class TestJobs:
    @pytest.fixture
    def clock(self):
        return [1000.0]

    @pytest.fixture
    def kept(self, clock):
        return Jobs(lambda: clock[0])

    def test_a_result_is_kept_and_forgotten_after_ten_minutes(self, kept, clock):
        assert kept.ask("a", lambda tell, stop: 1, patience=MOST).result == 1
        clock[0] += 599
        assert kept.ask("a", lambda tell, stop: 2, patience=MOST).result == 1
        clock[0] += 1
        assert kept.ask("a", lambda tell, stop: 2, patience=MOST).result == 2

    def test_only_the_newest_are_kept(self, kept, clock):
        for i in range(21):
            clock[0] += 1
            kept.ask(str(i), lambda tell, stop: 1, patience=MOST)
        assert kept.look("3") is None
        assert kept.look("19") is not None

    def test_only_so_many_run_at_a_time_and_one_that_waits_can_be_stopped(self, kept):
        going, begun = threading.Event(), []

        def work(i):
            return lambda tell, stop: (begun.append(i), going.wait(MOST))

        jobs = [kept.ask(str(i), work(i)) for i in range(3)]
        while len(begun) < 2:
            time.sleep(0.005)
        [waiting] = {*range(3)} - {*begun}
        kept.stop(str(waiting))
        assert kept.look(str(waiting)).state is JobState.STOPPED
        going.set()
        for i, job in enumerate(jobs):
            job.wait(MOST)
            ended(f"job {i}")
        assert len(begun) == 2
        assert kept.ask("next", lambda tell, stop: 3, patience=MOST).result == 3

    def test_a_failure_is_kept_until_it_is_begun_again_or_forgotten(self, kept):
        job = kept.ask("a", lambda tell, stop: 1 / 0, patience=MOST)
        assert job.state is JobState.FAILED
        assert isinstance(job.error, ZeroDivisionError)
        assert kept.ask("a", lambda tell, stop: 1, patience=MOST) is job
        assert kept.ask("a", lambda tell, stop: 1, again=True, patience=MOST).result == 1
        assert kept.ask("a", lambda tell, stop: 2, again=True, patience=MOST).result == 1
        kept.forget("a")
        assert kept.look("a") is None

    def test_what_was_stopped_has_no_late_result(self, kept):
        going = threading.Event()
        job = kept.ask("a", lambda tell, stop: going.wait(MOST))
        kept.stop("a")
        going.set()
        ended("job a")
        assert (job.state, job.result) == (JobState.STOPPED, None)
        assert job.unwanted()

    def test_it_never_says_that_all_is_done_before_it_is(self, kept):
        job = kept.ask("a", lambda tell, stop: tell(1.0), patience=MOST)
        assert job.percent == 99


def test_no_price_runs_into_the_tints_on_the_axis():
    """Right of the present white stands another one, so that its price has to go left, where “0” is."""
    places = [120.0, 160.0]
    options = [
        SimpleNamespace(white=SimpleNamespace(mired=400 - x / white_map.WIDTH * 300, cc=0.0), sheets=14)
        for x in places
    ]
    marks = white_map._marks(list(zip(("", "1"), options, strict=True)))
    assert marks[0].price is not None and marks[0].price.text.startswith("now 14")
    for text, y in white_map._tints():
        end = 2.0 + 10.0 * len(text)
        for price in (mark.price for mark in marks if mark.price):
            left = price.at[0] - price.half[0]
            assert left > end or abs(price.at[1] - y) > 12, (price, text)
