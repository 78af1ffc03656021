"""The work on a head: planned, hung, read behind what hangs, confirmed, and back; cautions; who did it."""

import json
import re

import pytest

from advisor.model import Predicted, Reading, Stage, Work
from tests.web.page import Page

CTO = ["CTO 1/4"]


@pytest.fixture
def work(sample, stores):
    """Return what is kept of the work on a source."""
    return lambda number=1: stores.sets.get_source(number).source.work


@pytest.fixture
def act(sample, post, stores):
    """Press one of the buttons of a source, whose page was just seen unless `revision` says otherwise."""

    def press(action, gels=None, number=1, dial=None, revision=None, **more):
        stack = {} if gels is None else {"stack": json.dumps({"gels": gels, "dial": dial})}
        seen = stores.sets.get_source(number).revision if revision is None else revision
        return post(f"/sources/{number}/work", {"revision": seen, "action": action, **stack, **more})

    return press


@pytest.fixture
def read(sample, post, stores):
    """Take a reading of a source; by its form's first choice where the page has one."""

    def take(cct, duv, lux="", number=1, **more):
        return post(f"/sources/{number}/reading", {"cct": cct, "duv": duv, "lux": lux, **more})

    return take


def buttons(page: Page) -> set[str]:
    """Return the words on the buttons and links of the actions."""
    return set(re.findall(r">([^<>]+)</(?:button|a)>", page.html))


def stacks_of(page: Page) -> list[dict[str, object]]:
    """Return the stacks that the forms of the page would decide for."""
    return [
        json.loads(v.replace("&#34;", '"')) for v in re.findall(r'name="stack" value="([^"]+)"', page.html)
    ]


def alert_about(page: Page, words: str) -> str:
    return next(a for a in page.alerts if words in a)


class TestStages:
    def test_a_bare_head_is_advised_on(self, sample, get):
        page = get("/sources/1")
        assert {"It is hung", "Keep to this plan"} <= buttons(page)
        assert not {"Confirm as it is", "It is taken off", "Back to what is advised"} & buttons(page)
        assert "behind" not in page.fields

    def test_a_plan_is_kept(self, act, work, get):
        page = act("plan", CTO)
        assert (work().stage, work().gels) == (Stage.PLANNED, CTO)
        assert work().predicted is not None
        assert "Planned." in page.text
        assert {"It is hung", "Back to what is advised"} <= buttons(page)
        assert "1 Shop window Planned: hang ¼ CTO" in get("/sets/1").text

    def test_a_plan_that_is_not_what_is_advised_says_so(self, act):
        assert "Advised now: Hang ¼ CTO." in act("plan", ["CTB full"]).text

    def test_the_button_hangs_what_the_page_shows(self, sample, get, post, work):
        page = get("/sources/1")
        shown = stacks_of(page)[0]
        post(
            "/sources/1/work",
            {"revision": page.fields["revision"], "action": "hung", "stack": json.dumps(shown)},
        )
        assert work().stage is Stage.HUNG
        assert work().gels == shown["gels"] == CTO

    def test_what_hangs_is_predicted(self, act, work, get):
        page = act("hung", CTO)
        assert (work().stage, work().found) == (Stage.HUNG, None)
        predicted = work().predicted
        assert predicted.lux < 820 and predicted.uncertainty_steps > 0
        assert "Read it behind what hangs, to confirm." in page.text
        assert "Hung ¼ CTO" in page.text
        assert {"Confirm as it is", "It is taken off"} <= buttons(page)
        assert "1 hung, to confirm" in get("/sets/1").text

    def test_bare_may_be_what_is_decided(self, act, work, get):
        act("hung", [])
        assert (work().stage, work().gels) == (Stage.HUNG, [])
        assert "Stays bare" in get("/sets/1").text

    def test_from_plan_to_confirmed_and_back_to_bare(self, act, read, work, get, stores):
        act("plan", CTO)
        act("hung", CTO)
        predicted = work().predicted
        page = read(str(predicted.cct), str(predicted.duv), str(predicted.lux), behind="hung", hung="CTO 1/4")
        assert work().stage is Stage.CONFIRMED
        assert "Confirmed:" in page.text and "As bright as predicted" in page.text
        assert "1 confirmed" in get("/sets/1").text
        assert "Confirmed: ¼ CTO" in get("/sets/1").text
        act("clear")
        assert work() is None
        assert stores.sets.get_source(1).source.reading.cct == 6750
        assert "Keep to this plan" in buttons(get("/sources/1"))

    def test_it_may_be_confirmed_by_hand(self, act, work, get):
        act("hung", ["CTB full"])
        page = act("confirm")
        assert (work().stage, work().gels) == (Stage.CONFIRMED, ["CTB full"])
        assert "Confirmed as it is." in page.text
        assert "Confirm as it is" not in buttons(page)

    def test_what_somebody_takes_for_right_is_right(self, act, read, work, get):
        """Not as predicted, and confirmed by hand: nobody is told to change it any more."""
        act("hung", CTO)
        page = read("4300", "0.012", behind="hung", hung="CTO 1/4")
        assert work().stage is Stage.HUNG
        assert "Not as predicted" in page.text and "That is done" in buttons(page)
        page = act("confirm")
        assert "Confirmed as it is: 4 300 K" in page.text
        assert "Take off" not in page.text.split("New reading")[0] and "That is done" not in buttons(page)
        assert "Confirmed: ¼ CTO" in get("/sets/1").text and "1 confirmed" in get("/sets/1").text
        assert "not as predicted" not in get("/sets/1").text

    @pytest.mark.parametrize("before", [None, "plan"])
    def test_what_does_not_hang_cannot_be_confirmed(self, act, before, work):
        if before:
            act(before, CTO)
        was, page = work(), act("confirm")
        assert page.status == 422
        assert "nothing hangs yet that could be confirmed" in alert_about(
            page, "Allowed: say first that it hangs"
        )
        assert work() == was

    @pytest.mark.parametrize(
        ("action", "stack", "says"),
        [
            ("burn", "{}", "'burn' is nothing that can be done"),
            ("hung", '{"gels": ["Sunset full"]}', "no gel is called 'Sunset full'"),
            ("hung", '{"gels": "CTO 1/4"}', "gels is not a list"),
            ("plan", '{"gels": ["CTO 1/4"', "this is not JSON"),
            ("plan", '{"dial": {"cct": 5600}}', "Shop window has no dials"),
            ("plan", json.dumps({"gels": ["CTO 1/8"] * 9}), "gels holds 9 entries"),
        ],
    )
    def test_what_cannot_be_done_is_refused_with_words(self, sample, post, work, action, stack, says):
        page = post("/sources/1/work", {"action": action, "stack": stack})
        assert page.status == 422
        assert says in alert_about(page, says)
        assert work() is None

    @pytest.mark.parametrize("path", ["work", "use", "reading"])
    @pytest.mark.parametrize("data", [{}, {"action": "hung", "stack": "{}", "cct": "x", "use_level": "x"}])
    def test_a_removed_source_takes_nothing(self, sample, post, path, data):
        post("/sources/4/delete")
        page = post(f"/sources/4/{path}", data)
        assert page.status == 404

    def test_every_choice_of_the_ranking_can_be_planned(self, sample, get, act, work):
        page = get("/sources/1")
        other = json.loads(page.choices["stack"][1])
        act("plan", other["gels"])
        assert work().gels == other["gels"]

    def test_a_stack_built_by_hand_can_be_planned(self, sample, get):
        page = get("/sources/1?gel=CTO+1%2F8&gel=Minus+green+1%2F8&gel=&gel=")
        assert {"gels": ["CTO 1/8", "Minus green 1/8"]} in stacks_of(page)
        assert "Plan this one" in buttons(page)


class TestReading:
    def test_what_is_not_as_predicted_says_so_and_what_to_change(self, act, read, work, get):
        act("hung", CTO)
        page = read("4700", "0.0040", "700", behind="hung", hung="CTO 1/4")
        assert work().stage is Stage.HUNG
        assert work().found.gels == CTO
        answer = page.text.split("New reading")[0]
        assert "Not as predicted: 4 700 K, Duv +0.0040" in answer
        assert re.search(r"(Take off|Add) .+ Hung: ¼ CTO .+ Then \d\.\d steps? left", answer)
        assert "That is done" in buttons(page)
        assert "1 not as predicted" in get("/sets/1").text

    def test_what_is_as_predicted_but_off_the_target_is_not_confirmed(self, act, read, work, get):
        act("hung", ["CTO 1/8"])
        predicted = work().predicted
        page = read(str(predicted.cct), str(predicted.duv), behind="hung", hung="CTO 1/8")
        assert work().stage is Stage.HUNG
        assert "As predicted, 6.3 steps off the target: 6 091 K" in page.text
        assert "confirmed" not in get("/sets/1").text
        assert "That is beyond the tolerance of 3 steps: " in page.text
        act("hung", CTO)
        predicted = work().predicted
        page = read(str(predicted.cct), str(predicted.duv), behind="hung", hung="CTO 1/4")
        assert "Confirmed:" in page.text and "beyond the tolerance" not in page.text

    def test_the_swap_is_done_with_one_tap_and_confirmed_by_the_next_reading(
        self, act, read, work, post, get
    ):
        act("hung", CTO)
        page = read("4700", "0.0040", "700", behind="hung", hung="CTO 1/4")
        then = next(s for s in stacks_of(page) if s["gels"] != CTO)
        act("hung", then["gels"])
        assert (work().stage, work().gels, work().found) == (Stage.HUNG, then["gels"], None)
        # What was predicted is of the lamp as it was seen, so that a reading on the target is as predicted.
        predicted = work().predicted
        assert predicted.cct == pytest.approx(5600, abs=150)
        read(str(predicted.cct), str(predicted.duv), behind="hung", hung="; ".join(then["gels"]))
        assert work().stage is Stage.CONFIRMED

    def test_what_was_read_behind_gels_never_becomes_the_bare_reading(self, act, read, stores, get):
        act("hung", CTO)
        assert get("/sources/1").fields["behind"] == "hung"
        read("5500", "0.003", behind="hung", hung="CTO 1/4")
        source = stores.sets.get_source(1).source
        assert source.reading.cct == 6750
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
        assert "say whether it was read behind that, or bare" in alert_about(page, says)
        assert [page.fields[k] for k in ("cct", "duv", "lux", "hung")] == [
            "5480",
            "0,0031",
            "640 lx",
            "CTO 1/4",
        ]
        assert len(stores.sets.readings_of(1)) == 1 and work() == was

    def test_a_page_from_before_it_was_taken_off_is_asked_again(self, sample, read, stores):
        page = read("5480", "0.0031", behind="hung", hung="CTO 1/4")
        assert page.status == 422
        assert "take it as bare" in alert_about(page, "nothing hangs on it any more")
        assert page.fields["cct"] == "5480"
        assert len(stores.sets.readings_of(1)) == 1

    def test_a_wrong_reading_behind_what_hangs_is_given_back(self, act, read, stores, work):
        act("hung", CTO)
        page = read("4700", "4", behind="hung", hung="CTO 1/4")
        assert page.status == 422
        assert "Duv 4 is out of range" in alert_about(page, "Duv")
        assert (page.fields["cct"], page.fields["duv"], page.fields["behind"]) == ("4700", "4", "hung")
        assert work().found is None

    def test_a_wider_tolerance_makes_it_right(self, act, read, stores, get):
        act("hung", CTO)
        read("4700", "0.0040", behind="hung", hung="CTO 1/4")
        source = stores.sets.get_source(1).source
        stores.sets.update_source(1, source.model_copy(update={"tolerance_steps": 50.0}))
        page = get("/sources/1")
        assert "Confirmed: 4 700 K" in page.text and "Not as predicted" not in page.text

    def test_the_pair_teaches_the_gel(self, act, read, get):
        act("hung", CTO)
        assert not [link for link in get("/sources/1").links if "name=CTO" in link]
        page = read("4700", "0.0040", "700", behind="hung", hung="CTO 1/4")
        assert "Teach ¼ CTO from this pair" in buttons(page)
        [link] = [link for link in page.links if "name=CTO" in link]
        form = get(link.replace("&amp;", "&")).fields
        assert (form["cct"], form["duv"], form["lux"]) == ("6750", "0.0041", "820")
        assert [form[f"gelled_{k}"] for k in ("cct", "duv", "lux")] == ["4700", "0.004", "700"]

    def test_two_sheets_teach_neither(self, act, read, get):
        act("hung", ["CTO 1/4", "Minus green 1/8"])
        page = read("4700", "0.0040", behind="hung", hung="CTO 1/4; Minus green 1/8")
        assert not any("from this pair" in words for words in buttons(page))


class TestLost:
    def test_a_stack_whose_gel_left_the_table_says_so(self, act, read, post, get):
        act("hung", CTO)
        read("4700", "0.0040", behind="hung", hung="CTO 1/4")
        post("/gels/remove", {"name": "CTO 1/4"})
        page = get("/sources/1")
        assert page.status == 200
        answer = page.text.split("New reading")[0]
        assert (
            "Hung: ¼ CTO. What was decided cannot be predicted any more: no gel is called 'CTO 1/4'."
            in answer
        )
        # What is advised instead is not said to hang.
        assert re.search(r"Hang ", answer.split("Hung: ¼ CTO")[0])
        assert page.fields["behind"] == "hung" and page.fields["hung"] == "CTO 1/4"
        assert "It is taken off" in buttons(page)
        listed = get("/sets/1")
        assert listed.status == 200
        assert "Hung: " not in listed.text and "hung, to confirm" not in listed.text

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
        assert (work().stage, work().found.cct) == (Stage.HUNG, 4700)
        assert stores.sets.get_source(1).source.reading.cct == 6750

    def test_it_can_be_taken_off(self, act, post, work):
        act("hung", CTO)
        post("/gels/remove", {"name": "CTO 1/4"})
        assert act("clear").status == 200
        assert work() is None


class TestConflict:
    def test_who_comes_second_sees_what_the_first_did_and_loses_nothing(self, act, work, stores):
        seen = stores.sets.get_source(1).revision
        act("hung", CTO)
        page = act("hung", ["CTB full"], revision=seen)
        assert page.status == 409
        assert "Somebody changed this source meanwhile; nothing was overwritten." in page.alerts[0]
        assert "¼ CTO" in page.alerts[0] and "full CTB" in page.alerts[0]
        assert (work().stage, work().gels) == (Stage.HUNG, CTO)
        assert "CTB full" in page.html, "what was wanted can be sent again"
        assert act("hung", ["CTB full"]).status == 200
        assert work().gels == ["CTB full"]

    @pytest.mark.parametrize("action", ["plan", "hung", "clear", "confirm"])
    def test_every_step_asks_for_what_was_seen(self, act, work, action, stores):
        act("hung", CTO)
        was = work()
        assert act(action, ["ND 0.3"], revision=1).status == 409
        assert work() == was

    def test_the_level_in_use_too(self, sample, get, post, stores):
        seen = get("/sources/1").fields["revision"]
        post("/sources/1/use", {"revision": seen, "use_level": "50"})
        page = post("/sources/1/use", {"revision": seen, "use_level": "62,5"})
        assert page.status == 409
        assert page.fields["use_level"] == "62,5"
        assert "50 %" in page.alerts[0]
        assert stores.sets.get_source(1).source.level == 50


class TestCautions:
    def test_they_stand_below_the_answer(self, sample, get):
        for path, answer in (("/sets/1", 'class="heads"'), ("/sources/2", 'class="far"')):
            html = get(path).html
            assert html.index("<h1") < html.index(answer) < html.index("<summary>Cautions")

    def test_one_is_put_away_for_its_set_and_brought_back(self, sample, get, post, stores):
        assert "Gel is no UV filter" in get("/sets/1").text
        page = post("/sets/1/cautions", {"hide": "uv"})
        assert "Gel is no UV filter" not in page.text and "Hot face" in page.text
        assert "Gel is no UV filter" not in get("/sources/2").text
        other = stores.sets.create_set(
            stores.sets.get_set(1).light_set.model_copy(update={"hidden_cautions": []})
        )
        assert "Gel is no UV filter" in get(f"/sets/{other}").text
        page = post("/sets/1/cautions", {"show": "yes"})
        assert "Gel is no UV filter" in page.text
        assert "Show all cautions again" not in page.text

    def test_all_can_be_put_away(self, sample, get, post):
        keys = re.findall(r'name="hide" value="(\w+)"', get("/sets/1").html)
        assert len(keys) == 6
        for key in keys:
            page = post("/sets/1/cautions", {"hide": key})
        assert "Hot face" not in page.text and "Show all cautions again" in page.text

    def test_putting_one_away_twice_is_once(self, sample, post, stores):
        for _ in range(2):
            post("/sets/1/cautions", {"hide": "hot"})
        assert stores.sets.get_set(1).hidden_cautions == ("hot",)

    @pytest.mark.parametrize(("key", "status"), [("", 200), ("x" * 200, 422), ("nonsense", 422)])
    def test_what_is_no_caution_puts_nothing_away(self, sample, post, stores, key, status):
        assert post("/sets/1/cautions", {"hide": key}).status == status
        assert stores.sets.get_set(1).hidden_cautions == ()

    def test_what_is_none_is_told_with_those_that_there_are(self, sample, post):
        page = post("/sets/1/cautions", {"hide": "nonsense"})
        assert "'nonsense' is no caution. Allowed: hot, uv, tubes, height, mains, wet." in page.text

    def test_two_phones_lose_none(self, sample, client, stores, monkeypatch):
        """Mia puts one away while another phone's is being put away."""
        get_set = type(stores.sets).get_set

        def meanwhile(sets, set_id):
            seen = get_set(sets, set_id)
            monkeypatch.setattr(type(stores.sets), "get_set", get_set)
            stores.sets.by("Mia").update_set(set_id, hidden_cautions=["wet"])
            return seen

        monkeypatch.setattr(type(stores.sets), "get_set", meanwhile)
        assert client.post("/sets/1/cautions", data={"hide": "hot"}).status_code == 302
        assert stores.sets.get_set(1).hidden_cautions == ("wet", "hot")

    def test_a_head_shows_its_own(self, sample, get):
        assert "Gel is no UV filter" in get("/sources/2").text
        assert "Gel is no UV filter" not in get("/sources/5").text
        assert "Hot face" in get("/sources/5").text


class TestWho:
    def test_the_name_from_the_look_page_goes_with_readings_and_changes(self, sample, get, post, act, stores):
        post("/look", {"who": "Nóra Ø", "back": "/sets"})
        act("hung", CTO)
        post("/sources/1/reading", {"cct": "5500", "duv": "0.003", "behind": "hung", "hung": "CTO 1/4"})
        changes = stores.sets.history(1)[-2:]
        assert [(c.what, c.who) for c in changes] == [
            ("source.changed", "Nóra Ø"),
            ("reading.added", "Nóra Ø"),
        ]
        readings = get("/sources/1").text.split("2 readings")[1]
        assert re.search(r"\d\d:\d\d, \d+ \w{3}, Nóra Ø", readings)

    def test_without_a_name_nobody_is_named(self, sample, act, stores):
        act("plan", CTO)
        assert stores.sets.history(1)[-1].who == ""

    def test_a_name_is_text_and_nothing_else(self, sample, post, get, stores):
        post("/look", {"who": "<b>Noor</b>"})
        post("/sources/1/reading", {"cct": "5500", "duv": "0.003"})
        assert stores.sets.readings_of(1)[-1].who == "<b>Noor</b>"
        assert "<b>Noor</b>" not in get("/sources/1").html


def test_what_hangs_is_compared_with_what_was_predicted_then(sample, get, stores):
    """What was predicted when it was hung stays, whatever the table or the reading says since."""
    source = stores.sets.get_source(1).source
    work = Work(
        stage=Stage.HUNG,
        gels=CTO,
        predicted=Predicted(cct=5610, duv=0.0031, lux=640, uncertainty_steps=1.0),
        found=Reading(cct=5610, duv=0.0031, lux=320, gels=CTO),
    )
    stores.sets.update_source(1, source.model_copy(update={"work": work}))
    said = "0.0 step from the prediction; up to 4.0 is allowed. 1.0 stop darker than predicted."
    assert said in get("/sources/1").text
