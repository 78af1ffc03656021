"""What was done, undone from the record and the head's page; where somebody came later, it says so."""

import re

import pytest

from tests.bakery import bakery
from tests.web.phones import joined, open_app

HALF = '{"gels": ["CTO 1/2"]}'


def last(stores) -> int:
    return stores.sets.history(1)[-1].id


@pytest.fixture
def undo(post):
    return lambda change, **form: post(f"/changes/{change}/undo", form)


class TestRecord:
    def test_each_line_that_can_be_undone_has_its_button(self, act, get, stores):
        act("hung", ["CTO 1/2"])
        hung = last(stores)
        act("confirm")
        page = get("/sets/1/record")
        assert f"/changes/{hung}/undo" in page.posts and f"/changes/{last(stores)}/undo" in page.posts
        added = stores.sets.history(1)[1].id
        assert f"/changes/{added}/undo" not in page.posts

    @pytest.mark.parametrize("action", ["plan", "hung", "confirm", "clear"])
    def test_what_was_pressed_is_undone_and_crossed_with_who_and_when(self, act, undo, work, stores, action):
        if action in ("confirm", "clear"):
            act("hung", ["CTO 1/4"])
        before = work()
        act(action, ["CTO 1/2"] if action in ("plan", "hung") else None)
        page = undo(last(stores))
        assert page.status == 200 and page.heading.endswith("on record")
        assert work() == before
        assert re.search(r"<li><p><s>Shop window: ", page.html)
        assert re.search(r"Undone \d\d:\d\d", page.text)
        assert "Shop window: undone: " in page.text

    @pytest.mark.parametrize(
        ("hangs", "then", "said"),
        [
            (["CTO 1/2"], ["CTO 1/4"], "swapped: ¼ CTO"),
            (["CTO 1/2"], ["CTO 1/2", "Minus green 1/8"], "added, now: ½ CTO and ⅛ minus green"),
            (["CTO 1/2", "Minus green 1/8"], ["CTO 1/2"], "taken off, now: ½ CTO"),
            ([], ["CTO 1/2"], "hung: ½ CTO"),
        ],
    )
    def test_the_record_says_what_was_done_as_the_button_did(self, act, get, hangs, then, said):
        act("hung", hangs)
        act("hung", then)
        assert f"Shop window: {said} " in get("/sets/1/record").text.split("newest first")[-1]

    def test_an_undo_by_mistake_is_undone_too(self, act, undo, work, stores):
        act("hung", ["CTO 1/2"])
        hung = work()
        undo(last(stores))
        undo(last(stores))
        assert work() == hung

    def test_a_removed_source_comes_back_from_the_record(self, sample, undo, stores, post, get):
        post("/sources/2/delete")
        gone = last(stores)
        assert f"/changes/{gone}/undo" in get("/sets/1/record").posts
        page = undo(gone)
        assert not stores.sets.get_source(2).deleted
        assert "Brought back" in page.text

    def test_removed_sources_come_back_from_the_page_of_their_set_all_day(self, sample, post, get, stores):
        assert "removed" not in get("/sets/1").text
        for number in (2, 4):
            post(f"/sources/{number}/delete")
        page = get("/sets/1")
        assert "2 sources removed" in page.text and re.search(r"Removed \d\d:\d\d", page.text)
        assert {"/sources/2/restore", "/sources/4/restore"} <= set(page.posts)
        post("/sources/2/restore")
        page = get("/sets/1")
        assert "1 source removed" in page.text and "/sources/2/restore" not in page.posts
        assert [stored.id for stored in stores.sets.get_set(1).sources if stored.id in (2, 4)] == [2]

    def test_a_removed_set_comes_back_from_the_list_all_day(self, sample, post, get, stores):
        post("/sets/1/delete")
        page = get("/sets")
        assert "1 set removed" in page.text and "/sets/1/restore" in page.posts
        assert "Bakery" in page.text and re.search(r"Removed \d\d:\d\d", page.text)
        post("/sets/1/restore")
        assert "removed" not in get("/sets").text
        assert not stores.sets.get_set(1).deleted

    def test_what_was_wanted_of_a_set_is_undone(self, sample, undo, stores):
        before = stores.sets.get_set(1).light_set
        stores.sets.update_set(1, note="other", name="Other")
        undo(last(stores))
        assert stores.sets.get_set(1).light_set == before


class TestHead:
    def test_the_last_thing_pressed_has_undo_beside_it_and_leads_back_to_the_head(
        self, act, get, undo, work, stores
    ):
        page = act("hung", ["CTO 1/2"])
        assert f"/changes/{last(stores)}/undo" in page.posts
        page = undo(last(stores), **{"from": "head"})
        assert page.heading == "Shop window" and work() is None
        # The undo itself can be taken back there.
        assert f"/changes/{last(stores)}/undo" in page.posts

    def test_once_it_was_read_the_reading_is_what_can_be_struck_out(self, act, read, get, stores):
        act("hung", ["CTO 1/2"])
        hung = last(stores)
        read("5000", "0.002", behind="hung", hung="CTO 1/2")
        taken = stores.sets.readings_of(1)[-1].id
        page = get("/sources/1")
        assert f"/changes/{hung}/undo" not in page.posts
        assert page.html.split('id="readings"')[0].count(f"/readings/{taken}/strike") == 1
        stores.sets.strike(taken)
        assert f"/changes/{hung}/undo" in get("/sources/1").posts

    def test_a_reading_that_confirms_says_so_on_the_record(self, act, read, get, stores, work):
        act("hung", ["CTO 1/4"])
        read("5600", "0.0033", behind="hung", hung="CTO 1/4")
        assert work().stage == "confirmed"
        assert "Shop window: confirmed, read 5 600 K" in get("/sets/1/record").text

    def test_nothing_is_offered_where_nothing_was_done(self, sample, get):
        assert not [form for form in get("/sources/1").posts if "/changes/" in form]


class TestLater:
    def test_it_says_what_and_who_and_what_to_do_and_changes_nothing(self, act, undo, stores, work):
        act("hung", ["CTO 1/2"])
        mine = last(stores)
        now = stores.sets.get_source(1).source
        swapped = now.work.model_copy(update={"gels": ["CTO full"]})
        stores.sets.by("Bo").update_source(1, now.model_copy(update={"work": swapped}))
        theirs = last(stores)
        page = undo(mine)
        assert (page.status, page.heading) == (409, "Not undone: Bo changed it later")
        assert "Nothing was changed." in page.text
        assert "Shop window: swapped: full CTO" in page.text
        assert "Undo that first" in page.html and f"/changes/{theirs}/undo" in page.posts
        assert "/sources/1" in page.links and "/sets/1/record#done" in page.links
        assert work() == swapped

    def test_who_gave_no_name_is_somebody(self, act, undo, stores):
        act("hung", ["CTO 1/2"])
        mine = last(stores)
        act("clear")
        assert undo(mine).heading == "Not undone: somebody changed it later"

    def test_a_reading_behind_it_is_to_be_struck_out_first(self, act, read, undo, stores, work):
        act("hung", ["CTO 1/2"])
        mine = last(stores)
        read("5000", "0.002", behind="hung", hung="CTO 1/2")
        page = undo(mine)
        assert page.status == 409
        taken = stores.sets.readings_of(1)[-1].id
        assert f"/readings/{taken}/strike" in page.posts
        assert "Strike that reading out first" in page.html
        stores.sets.strike(taken)
        assert undo(mine).status == 200
        assert work() is None

    def test_the_page_opened_again_by_its_address_leads_to_the_record(self, act, get, stores):
        act("hung", ["CTO 1/2"])
        assert get(f"/changes/{last(stores)}/undo").heading.endswith("on record")

    def test_what_is_no_change_or_has_nothing_to_undo_is_said(self, sample, undo, stores):
        assert undo(999).status == 404
        page = undo(stores.sets.history(1)[0].id)
        assert page.status == 422
        assert "this line has nothing to undo" in page.text.lower()

    def test_of_a_head_removed_since_the_head_is_offered_back(self, act, undo, stores):
        act("hung", ["CTO 1/2"])
        mine = last(stores)
        stores.sets.delete_source(1)
        page = undo(mine)
        assert page.status == 404 and "/sources/1/restore" in page.posts


class TestTwoPhones:
    @pytest.fixture
    def phones(self, tmp_path, closing):
        app = closing(open_app(tmp_path / "data"))
        app.extensions["advisor"].sets.create_set(bakery())
        return app, joined(app, "change", "Mia"), joined(app, "change", "Bo", "192.168.7.30")

    def test_the_second_is_told_by_name_and_nothing_of_his_is_lost(self, phones):
        app, mia, bo = phones
        sets = app.extensions["advisor"].sets
        mia.post("/sources/1/work", {"action": "hung", "stack": HALF, "revision": "1"})
        mine = sets.history(1)[-1].id
        mia.open("/sets/1/record")
        bo.post("/sources/1/work", {"action": "clear", "revision": "2"})
        answer = mia.post(f"/changes/{mine}/undo")
        assert answer.status_code == 409 and "Not undone: Bo changed it later" in answer.text
        assert sets.get_source(1).source.work is None

    def test_who_came_later_himself_is_told_so(self, phones):
        app, mia, _ = phones
        sets = app.extensions["advisor"].sets
        mia.post("/sources/1/work", {"action": "hung", "stack": HALF, "revision": "1"})
        mine = sets.history(1)[-1].id
        mia.post("/sources/1/work", {"action": "clear", "revision": "2"})
        assert "Not undone: you changed it later" in mia.post(f"/changes/{mine}/undo").text

    def test_both_undo_the_same_and_it_is_undone_once(self, phones):
        app, mia, bo = phones
        sets = app.extensions["advisor"].sets
        mia.post("/sources/1/work", {"action": "hung", "stack": HALF, "revision": "1"})
        mine = sets.history(1)[-1].id
        assert [b.post(f"/changes/{mine}/undo").status_code for b in (mia, bo)] == [302, 302]
        assert [c.undoes for c in sets.history(1)].count(mine) == 1
        assert sets.history(1)[-1].who == "Mia"

    def test_a_retry_with_its_key_is_led_where_the_first_one_led(self, phones):
        app, mia, _ = phones
        sets = app.extensions["advisor"].sets
        mia.post("/sources/1/work", {"action": "hung", "stack": HALF, "revision": "1"})
        mine = sets.history(1)[-1].id
        key = {"Idempotency-Key": "undo-undo-undo-undo"}
        first, again = (mia.post(f"/changes/{mine}/undo", headers=key) for _ in range(2))
        assert first.location == again.location and len(sets.history(1)) == 9

    def test_who_may_only_meter_strikes_readings_and_undoes_nothing(self, phones):
        app, mia, _ = phones
        mia.post("/sources/1/work", {"action": "hung", "stack": HALF, "revision": "1"})
        tom = joined(app, "meter", "Tom", "192.168.7.40")
        page = tom.open("/sets/1/record")
        assert not [form for form in page.posts if "/changes/" in form]
        assert [form for form in page.posts if form.endswith("/strike")]
        mine = app.extensions["advisor"].sets.history(1)[-1].id
        assert tom.post(f"/changes/{mine}/undo").status_code == 403

    def test_who_may_only_meter_sees_what_was_removed_and_brings_nothing_back(self, phones):
        app, mia, _ = phones
        mia.post("/sources/2/delete")
        tom = joined(app, "meter", "Tom", "192.168.7.40")
        page = tom.open("/sets/1")
        assert "1 source removed" in page.text and "· Mia" in page.text
        assert "/sources/2/restore" not in page.posts and "/sources/2/restore" in mia.open("/sets/1").posts
