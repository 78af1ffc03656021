"""Readings struck out on a head's page and on the record: crossed, with who and when, counting nowhere."""

import re
from concurrent.futures import ThreadPoolExecutor

import pytest

from advisor.model import Reading, Stage
from advisor.web.gels.pairs import known_pairs
from tests.bakery import bakery
from tests.conftest import own_pages
from tests.web.phones import joined, open_app

PAGES = (
    *("", "/sheet", "/tags", "/light", "/compare", "/pulls", "/pulls.csv", "/record", "/days", "/whites"),
    *("/export.json", "/edit", "/paste"),
)


def ids(stores, number=1):
    return [r.id for r in stores.sets.readings_of(number)]


@pytest.fixture
def strike(post, stores, sample):
    """Strike a reading of a head out, by default its newest one, as on its page."""

    def send(number=1, place=-1, **form):
        return post(f"/readings/{ids(stores, number)[place]}/strike", form)

    return send


@pytest.fixture
def back(post, stores, sample):
    return lambda number=1, place=-1, **form: post(f"/readings/{ids(stores, number)[place]}/back", form)


class TestHead:
    def test_it_is_crossed_with_who_and_when_and_the_one_before_counts(self, strike, read, get, stores):
        read("7394", "0.004")
        page = strike()
        assert page.status == 200
        [crossed] = re.findall(r'<tbody class="struck">(.*?)</tbody>', page.html, re.DOTALL)
        assert re.search(r"7.394.K", crossed)
        assert re.search(r"2 readings, 1 struck out", page.text)
        assert re.search(r"Struck out \d\d:\d\d", page.text)
        assert stores.sets.get_source(1).source.reading.cct != 7394

    def test_it_comes_back_with_one_tap_and_every_answer_is_as_before(self, strike, back, read, get):
        read("7394", "0.004")
        before = get("/sets/1").html
        strike()
        assert get("/sets/1").html != before
        back()
        revisions = r'(data-revision|name="tap" value)="[^"]*"|\d\d:\d\d'
        assert re.sub(revisions, "", get("/sets/1").html) == re.sub(revisions, "", before)

    def test_of_a_head_without_a_reading_that_counts_every_page_says_so_or_leaves_it_out(
        self, strike, get, client, stores
    ):
        strike()
        page = get("/sources/1")
        assert page.status == 200
        assert "no bare reading of it counts" in page.text
        taken = stores.sets.readings_of(1)[0].id
        assert f"/readings/{taken}/back" in page.html.split("New reading")[0]
        for path in PAGES:
            assert client.get(f"/sets/1{path}").status_code == 200, path
        for path in ("edit", "openings", ""):
            assert client.get(f"/sources/1/{path}".rstrip("/")).status_code == 200, path

    def test_such_a_head_with_something_on_it_says_so_too(self, strike, act, get, client):
        act("hung", ["CTO 1/4"])
        strike()
        assert "no bare reading of it counts" in get("/sources/1").text
        for path in PAGES:
            assert client.get(f"/sets/1{path}").status_code == 200, path

    def test_such_a_head_that_was_read_behind_gels_is_advised_by_that(self, strike, act, read, get, client):
        """What it reads bare is worked out from there, and said to be."""
        act("hung", ["CTO 1/4"])
        read("5700", "0.003", behind="hung", hung="CTO 1/4")
        strike(place=0)
        page = get("/sources/1")
        assert "no bare reading of it counts" not in page.text
        assert "Worked out from what it read behind" in page.text
        for path in PAGES:
            assert client.get(f"/sets/1{path}").status_code == 200, path
        assert act("hung", ["CTO 1/2"]).status == 200
        assert client.get("/sources/1").status_code == 200

    def test_a_new_reading_makes_it_whole_again(self, strike, read, stores):
        strike()
        read("6500", "0.004")
        assert stores.sets.get_source(1).source.reading.cct == 6500

    def test_the_form_of_a_source_takes_nothing_for_a_reading(self, strike, get, post, stores):
        strike()
        page = get("/sources/1/edit")
        assert (page.fields["cct"], page.fields["duv"]) == ("", "")
        post("/sources/1/edit", {**page.fields, "name": "Bay"})
        now = stores.sets.get_source(1)
        assert (now.source.name, now.readings, now.source.reading.said) == ("Bay", 1, False)


class TestCountsNowhere:
    def test_what_it_confirmed_is_to_be_read_again(self, strike, act, get, stores, read, back, sample):
        act("hung", ["CTO 1/4"])
        behind = stores.sets.get_source(1).source.work.predicted
        read(f"{behind.cct:.0f}", f"{behind.duv:.4f}", behind="hung", hung="CTO 1/4")
        said = get("/sources/1").text
        was = stores.sets.get_source(1).source.work
        strike()
        work = stores.sets.get_source(1).source.work
        assert (work.stage, work.read_behind) == (Stage.HUNG, None)
        back()
        assert stores.sets.get_source(1).source.work == was
        assert re.sub(r"\d\d:\d\d", "", get("/sources/1").text) == re.sub(r"\d\d:\d\d", "", said)

    def test_no_pair_teaches_a_gel_by_it(self, sample, app, stores, strike):
        bare = stores.sets.get_source(1).source.reading
        stores.sets.add_reading(1, Reading(cct=5000, duv=0.003, gels=["CTO 1/4"]))
        with app.test_request_context("/"):
            assert [p.pair.gelled.cct for p in known_pairs("CTO 1/4")] == [5000]
        strike()
        with app.test_request_context("/"):
            assert known_pairs("CTO 1/4") == []
        assert stores.sets.get_source(1).source.reading == bare

    def test_a_target_that_matches_a_head_without_a_reading_says_why(self, strike, get, stores):
        now = stores.sets.get_set(1)
        stores.sets.update_set(1, target=now.target.model_validate({"source": now.sources[0].source.name}))
        strike()
        assert "cannot be matched: no bare reading of it counts" in get("/sets/1").text


class TestRecord:
    def test_it_is_crossed_there_and_what_was_done_is_on_top(self, read, strike, get, stores):
        read("7394", "0.004")
        page = strike(**{"from": "record"})
        assert page.heading.endswith("on record")
        assert "Record of " not in page.text
        assert "Record of Shop window" in strike(**{"from": "record-of-head"}).text
        crossed = re.findall(r"<s>(.*?)</s>", page.html)
        assert crossed == ["read 7 394 K, Duv +0.0040"]
        listed = re.search(r'aria-label="Changes.*', page.html, re.DOTALL)[0]
        first = re.search(r"<li><p>(.*?)<br>", listed)[1]
        assert first == "Shop window: struck out: read 7 394 K, Duv +0.0040"

    def test_every_reading_has_its_button_and_a_struck_one_the_way_back(self, read, get, strike, stores):
        read("7394", "0.004")
        newest = ids(stores)[-1]
        assert f"/readings/{newest}/strike" in get("/sets/1/record").posts
        strike()
        posts = get("/sets/1/record").posts
        assert f"/readings/{newest}/back" in posts and f"/readings/{newest}/strike" not in posts

    def test_who_may_only_look_sees_it_crossed_and_has_no_button(self, tmp_path, closing):
        app = closing(open_app(tmp_path / "data"))
        with app.app_context():
            sets = app.extensions["advisor"].sets
            sets.create_set(bakery())
            sets.by("Mara").strike(sets.readings_of(1)[0].id)
        page = joined(app, "look").open("/sets/1/record")
        assert re.search(r"<s>read .*</s>", page.html) and "Mara" in page.text
        assert not [form for form in page.posts if "/readings/" in form]
        assert "Struck out" in joined(app, "look", "Tom", "192.168.7.30").open("/sources/1").text


class TestTwo:
    def test_two_who_strike_the_same_out_at_once_do_it_once(self, read, app, stores):
        read("7394", "0.004")
        newest = ids(stores)[-1]

        def tap(_):
            with own_pages(app) as client:
                return client.post(f"/readings/{newest}/strike").status_code

        with ThreadPoolExecutor(4) as pool:
            assert set(pool.map(tap, range(4))) == {302}
        told = [c.what for c in stores.sets.history(1)]
        assert told.count("reading.struck") == 1

    def test_one_that_is_not_there_is_not_found(self, sample, post):
        assert [post(f"/readings/999/{what}").status for what in ("strike", "back")] == [404, 404]

    def test_on_a_removed_head_it_offers_the_head_back(self, stores, strike):
        stores.sets.delete_source(1)
        page = strike()
        assert page.status == 404
        assert "/sources/1/restore" in page.posts
