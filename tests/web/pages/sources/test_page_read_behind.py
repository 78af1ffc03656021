"""What is read behind what hangs: compared with what was predicted, and the light that it costs."""

import re

import pytest

from advisor.model import Reading, Stage
from advisor.web.pages.sources import head_page
from tests.web.working import CTO, alert_about, buttons, stacks_of


class TestReading:
    def test_what_is_not_as_predicted_says_so_and_what_to_change(self, act, read, work, get):
        act("hung", CTO)
        page = read("4900", "0.0040", "700", behind="hung", hung="CTO 1/4")
        assert work().stage is Stage.HUNG
        assert work().read_behind.gels == CTO
        answer = page.text.split("New reading")[0]
        assert "Not as predicted: 4 900 K, Duv +0.0040" in answer
        assert re.search(r"(Take off|Add) .+ Hung ¼ CTO .+ Now [○◔◑●] .+ Then [○◔◑●] \w+", answer)
        assert "Swapped" in buttons(page)
        assert "1 needs you" in get("/sets/1").text

    def test_the_bare_light_is_called_bare_beside_what_is_read_behind_the_gel(self, act, read):
        page = act("hung", CTO)
        assert "Bare it reads 7 200 K" in page.text
        page = read("5600", "0.0030", "500", behind="hung", hung="CTO 1/4")
        assert "Bare it reads" in page.text

    def test_what_to_check_stands_first_and_largest_and_the_reading_waits(self, act, read, get):
        act("hung", CTO)
        page = read("3650", "0.0036", behind="hung", hung="CTO 1/4")  # as behind the full one
        answer = page.text.split("New reading")[0]
        first = re.search(r'<p class="answer">(.*?)</p>', page.html)[1]
        assert first == "Check the gel: it reads like full CTO, not ¼ CTO. Or the daylight moved."
        assert 'class="far"' not in page.html.split("New reading")[0]
        assert "Hung ¼ CTO. Left out until the gel is checked." in answer
        assert "It reads" in answer and {"It was full CTO", "It is ¼ CTO"} <= buttons(page)
        assert get("/sets/1").row(1).startswith("Needs you: 1 Shop window check: full CTO, not ¼ CTO?")
        check = "Check the gel: it reads like full CTO, not ¼ CTO"
        assert f"Hung ¼ CTO. {check}" in get("/sets/1/tags").text
        sheet = get("/sets/1/sheet").text
        assert check in sheet and "Hung ¼ CTO" in sheet.split(check)[1]

    def test_a_digit_that_was_mistyped_is_asked_about_with_how_to_take_it_back(self, act, read, work):
        act("hung", ["CTB full"], number=5)
        predicted = work(5).predicted
        cct = str(round(predicted.cct) + 2000)
        page = read(cct, str(predicted.duv), number=5, behind="hung", hung="CTB full")
        first = re.search(r'<p class="answer">(.*?)</p>', page.html)[1].replace("\u202f", " ")
        assert re.fullmatch(r"7 \d{3} K for 5 \d{3} K\? One digit\.", first)
        meant = re.search(r"for (5 \d{3}) K", first)[1]
        assert f"It was {meant} K" in {button.replace("\u202f", " ") for button in buttons(page)}
        assert any(re.fullmatch(r"Strike out 7.\d{3}.K", button) for button in buttons(page))
        assert "Left out until it is checked." in page.text
        assert "until the gel is checked" not in page.text, "nobody doubts the gel"

    def test_what_is_as_predicted_but_off_the_target_is_not_confirmed(self, act, read, work, get):
        act("hung", ["CTO 1/8"])
        predicted = work().predicted
        page = read(str(predicted.cct), str(predicted.duv), behind="hung", hung="CTO 1/8")
        assert work().stage is Stage.HUNG
        assert re.search(r"It reads as predicted, and is (a bit off|obvious): 6 \d{3} K", page.text)
        assert "Done: " not in get("/sets/1").text
        assert re.search(r"(A bit off|Obvious): .* cool", page.text.split("New reading")[0])
        act("hung", CTO)
        predicted = work().predicted
        page = read(str(predicted.cct), str(predicted.duv), behind="hung", hung="CTO 1/4")
        answer = page.text.split("New reading")[0]
        assert "Confirmed:" in answer and not re.search("[Aa] bit off|[Oo]bvious", answer)

    def test_the_swap_is_done_with_one_tap_and_confirmed_by_the_next_reading(
        self, act, read, work, post, get
    ):
        act("hung", CTO)
        page = read("4700", "0.0040", "700", behind="hung", hung="CTO 1/4")
        then = next(s for s in stacks_of(page) if s["gels"] != CTO)
        act("hung", then["gels"])
        assert (work().stage, work().gels, work().read_behind) == (Stage.HUNG, then["gels"], None)
        # What was predicted is of the lamp as it was seen, so that a reading on the target is as predicted.
        predicted = work().predicted
        assert predicted.cct == pytest.approx(5600, abs=200)  # the table has no part between
        read(str(predicted.cct), str(predicted.duv), behind="hung", hung="; ".join(then["gels"]))
        assert work().stage is Stage.CONFIRMED

    def test_what_was_read_behind_gels_never_becomes_the_bare_reading(self, act, read, stores, get):
        act("hung", CTO)
        assert get("/sources/1").fields["behind"] == "hung"
        read("5500", "0.003", behind="hung", hung="CTO 1/4")
        source = stores.sets.get_source(1).source
        assert source.reading.cct == 7200
        assert source.readings[-1] == Reading(cct=5500, duv=0.003, gels=CTO)
        assert "behind ¼ CTO" in get("/sources/1").text.split("readings")[1]

    def test_a_bare_reading_may_be_taken_while_something_hangs(self, act, read, stores, work):
        act("hung", CTO)
        was = work()
        read("7000", "0.004", behind="bare", hung="CTO 1/4")
        assert stores.sets.get_source(1).source.reading.cct == 7000
        assert work() == was

    @pytest.mark.parametrize(
        ("shown", "says"),
        [
            ({}, "¼ CTO hangs on it now"),
            ({"behind": "hung", "hung": "CTB full"}, "¼ CTO hangs on it now"),
        ],
    )
    def test_a_page_from_before_something_hung_is_asked_again(self, act, read, stores, work, shown, says):
        act("hung", CTO)
        was = work()
        page = read("5480", "0,0031", "640 lx", **shown)
        assert page.status == 422
        assert "Say whether it was read behind that, or bare" in alert_about(page, says)
        assert [page.fields[k] for k in ("cct", "duv", "lux", "hung")] == [
            "5480",
            "0,0031",
            "640 lx",
            "CTO 1/4",
        ]
        assert len(stores.sets.readings_of(1)) == 1 and work() == was

    def test_what_it_was_read_behind_is_chosen_anew_and_saving_blindly_is_refused(
        self, act, read, post, stores, get
    ):
        act("hung", CTO)
        page = read("5480", "0.0031", behind="hung", hung="CTB full")
        assert (page.fields["behind"], page.choices["behind"]) == ("", ["", "hung", "bare"])
        assert 'data-live="behind"' not in page.html, "or it were chosen as soon as the page is renewed"
        again = post("/sources/1/reading", page.fields)
        assert again.status == 422 and again.fields["behind"] == ""
        assert len(stores.sets.readings_of(1)) == 1
        assert post("/sources/1/reading", again.fields | {"behind": "hung"}).status == 200
        assert stores.sets.readings_of(1)[-1].reading.gels == CTO
        assert get("/sources/1").fields["behind"] == "hung", "a form that was not refused asks as ever"

    def test_once_it_was_taken_off_saving_blindly_makes_no_bare_reading(self, sample, read, post, stores):
        page = read("5480", "0.0031", behind="hung", hung="CTO 1/4")
        assert (page.fields["behind"], page.choices["behind"]) == ("", ["", "bare"])
        again = post("/sources/1/reading", page.fields)
        assert again.status == 422
        assert "Say that it was read bare" in alert_about(again, "nothing was chosen")
        assert len(stores.sets.readings_of(1)) == 1
        assert post("/sources/1/reading", again.fields | {"behind": "bare"}).status == 200
        assert stores.sets.get_source(1).source.reading.cct == 5480

    def test_a_page_from_before_it_was_taken_off_is_asked_again(self, sample, read, stores):
        page = read("5480", "0.0031", behind="hung", hung="CTO 1/4")
        assert page.status == 422
        assert "Take it as bare" in alert_about(page, "nothing hangs on it any more")
        assert page.fields["cct"] == "5480"
        assert len(stores.sets.readings_of(1)) == 1

    def test_a_wrong_reading_behind_what_hangs_is_given_back(self, act, read, stores, work):
        act("hung", CTO)
        page = read("4700", "4", behind="hung", hung="CTO 1/4")
        assert page.status == 422
        assert "Duv 4 is out of range" in alert_about(page, "Duv")
        assert (page.fields["cct"], page.fields["duv"], page.fields["behind"]) == ("4700", "4", "hung")
        assert work().read_behind is None

    def test_a_wider_tolerance_makes_it_right(self, act, read, stores, get):
        act("hung", CTO)
        read("4700", "0.0040", behind="hung", hung="CTO 1/4")
        source = stores.sets.get_source(1).source
        stores.sets.update_source(1, source.model_copy(update={"tolerance_steps": 50.0}))
        page = get("/sources/1")
        assert "Confirmed: 4 700 K" in page.text and "Not as predicted" not in page.text

    def test_the_pair_teaches_the_gel(self, act, read, get):
        act("hung", CTO)
        assert "Teach ¼ CTO from these readings" not in buttons(get("/sources/1"))
        page = read("4700", "0.0040", "700", behind="hung", hung="CTO 1/4")
        assert "Teach ¼ CTO from these readings" in buttons(page)
        [link] = [link for link in page.links if "name=CTO" in link]
        form = get(link.replace("&amp;", "&")).fields
        assert (form["cct"], form["duv"], form["lux"]) == ("7200", "0.0041", "820")
        assert [form[f"gelled_{k}"] for k in ("cct", "duv", "lux")] == ["4700", "0.004", "700"]

    def test_two_sheets_teach_neither(self, act, read, get):
        act("hung", ["CTO 1/4", "Minus green 1/8"])
        page = read("4700", "0.0040", behind="hung", hung="CTO 1/4; Minus green 1/8")
        assert not any("from these readings" in words for words in buttons(page))


def test_the_lamp_is_not_doubted_where_the_prediction_held(act, read, work, monkeypatch):
    """Whatever is learned of the lamp: the two sentences deny each other."""
    monkeypatch.setattr(head_page, "drifted", lambda plan, i: True)
    act("hung", ["CTO 1/8"])
    predicted = work().predicted
    page = read(str(predicted.cct), str(predicted.duv), behind="hung", hung="CTO 1/8")
    assert "It reads as predicted, and " in page.text
    assert "The daylight drifted" not in page.text
    act("hung", CTO)
    page = read("4900", "0.0040", behind="hung", hung="CTO 1/4")
    assert "Not as predicted" in page.text and "The daylight drifted." in page.text


def test_the_closest_that_is_here_is_neither_to_change_nor_not_as_predicted(act, read, work, change, get):
    change(5, only_gels=["CTB 1/8"], max_layers=1)
    act("hung", ["CTB 1/8"], number=5)
    predicted = work(5).predicted
    page = read(str(predicted.cct), str(predicted.duv), number=5, behind="hung", hung="CTB 1/8")
    assert "Closest there is" in page.text
    told = get("/sets/1").text
    assert "5 Backlight ⅛ CTB, closest there is" in told
    assert "Accept it, take another lamp, or allow it a wider tolerance." in page.text


def test_nobody_changes_a_lamp_for_little_beyond_the_tolerance(act, read, work, change):
    change(5, only_gels=["CTB 1/8"], max_layers=1)
    act("hung", ["CTB 1/8"], number=5)
    predicted, left = work(5).predicted, work(5).steps_off
    change(5, tolerance_steps=left - 0.4)
    page = read(str(predicted.cct), str(predicted.duv), number=5, behind="hung", hung="CTB 1/8")
    assert "Accept it, or allow it a wider tolerance." in page.text
    assert "another lamp" not in page.text.split("New reading")[0]


class TestLost:
    def test_before_it_is_removed_the_page_says_where_it_hangs(self, act, get):
        assert "Hangs on" not in get("/gels/edit?name=CTO+1%2F4").text
        act("hung", CTO)
        name = get("/sources/1").heading
        told = get("/gels/edit?name=CTO+1%2F4").text
        assert f"Hangs on 1 {name} (" in told and "If you remove it, it stays hung there." in told

    def test_a_stack_whose_gel_left_the_table_says_so(self, act, read, post, get):
        act("hung", CTO)
        read("4700", "0.0040", behind="hung", hung="CTO 1/4")
        post("/gels/remove", {"name": "CTO 1/4"})
        page = get("/sources/1")
        assert page.status == 200
        answer = page.text.split("New reading")[0]
        assert "Hung: ¼ CTO. It is no longer in the gel table. Bring it back on Gels." in answer
        # What is advised instead is not said to hang.
        assert re.search(r"Hang ", answer.split("Hung: ¼ CTO")[0])
        assert page.fields["behind"] == "hung" and page.fields["hung"] == "CTO 1/4"
        assert {"Hung", "All taken off"} <= buttons(page)
        listed = get("/sets/1")
        assert listed.status == 200
        assert "CTO hung" not in listed.text and "to meter" not in listed.text

    @pytest.mark.parametrize("page", ["sheet", "tags", "light", "pulls", "compare", "whites"])
    def test_no_page_of_the_set_breaks(self, act, read, post, get, page):
        act("hung", CTO)
        read("4700", "0.0040", behind="hung", hung="CTO 1/4")
        post("/gels/remove", {"name": "CTO 1/4"})
        assert get(f"/sets/1/{page}").status == 200

    def test_a_reading_behind_it_is_still_taken(self, act, read, post, work, stores):
        act("hung", CTO)
        post("/gels/remove", {"name": "CTO 1/4"})
        assert read("4700", "0.0040", behind="hung", hung="CTO 1/4").status == 200
        assert (work().stage, work().read_behind.cct) == (Stage.HUNG, 4700)
        assert stores.sets.get_source(1).source.reading.cct == 7200

    def test_it_can_be_taken_off(self, act, post, work):
        act("hung", CTO)
        post("/gels/remove", {"name": "CTO 1/4"})
        assert act("clear").status == 200
        assert work() is None
