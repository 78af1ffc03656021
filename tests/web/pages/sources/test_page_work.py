"""The work on a head: planned, hung, confirmed, and back; cautions; who did it."""

import json
import re

import pytest

from advisor.model import Predicted, Reading, Stage, Target, Work
from tests.web.working import CTO, alert_about, buttons, stacks_of


class TestStages:
    def test_a_bare_head_is_advised_on(self, sample, get):
        page = get("/sources/1")
        assert {"Hung", "Lock this plan"} <= buttons(page)
        assert not {"Confirm as it is", "All taken off", "Back to what is advised"} & buttons(page)
        assert "behind" not in page.fields

    def test_a_plan_is_kept(self, act, work, get):
        page = act("plan", CTO)
        assert (work().stage, work().gels) == (Stage.PLANNED, CTO)
        assert work().predicted is not None
        assert "Planned." in page.text
        assert {"Hung", "Back to what is advised"} <= buttons(page)
        assert get("/sets/1").row(1).startswith("To hang: 1 Shop window ¼ CTO")

    def test_a_plan_that_is_not_what_is_advised_says_so(self, act):
        assert "Advised now: Hang ¼ CTO." in act("plan", ["CTB full"]).text

    def test_a_plan_for_another_target_says_so_and_can_be_made_anew(self, act, get, post, stores, work):
        act("plan", CTO)
        assert "Plan what is advised now" not in buttons(get("/sources/1"))
        stores.sets.update_set(1, target=Target(cct=3200, locus="planckian"))
        page = get("/sources/1")
        assert re.search(
            r"Planned before: ¼ CTO\. Out of date\. The target changed at \d\d:\d\d, ", page.text
        )
        large = page.text.split("Planned before")[0]
        assert re.search(r"Hang (full|½) CTO", large) and "Planned earlier" not in page.text
        assert re.search(r'<button[^>]* class="main">Hung</button>', page.html)
        assert get("/sets/1").row(1).startswith("Needs you: 1 Shop window now ")
        for path in ("pulls", "compare", "light"):
            assert "Planned, out of date: 1 Shop window." in get(f"/sets/1/{path}").text
        for paper in ("sheet", "tags"):
            text = get(f"/sets/1/{paper}").text
            assert re.search(r"Out of date, now hang .*The target changed at \d\d:\d\d", text)
        now = next(form for form in stacks_of(page) if form["gels"] != CTO)
        page = act("plan", now["gels"])
        assert "Out of date" not in page.text and work().gels == now["gels"]

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
        assert (work().stage, work().read_behind) == (Stage.HUNG, None)
        predicted = work().predicted
        assert predicted.lux < 820 and predicted.uncertainty_steps > 0
        assert "Meter it with the gel on." in page.text
        assert "Hung ¼ CTO" in page.text
        assert {"Confirm as it is", "All taken off"} <= buttons(page)
        assert "1 to meter" in get("/sets/1").text

    def test_bare_may_be_what_is_decided(self, act, work, get):
        act("hung", [])
        assert (work().stage, work().gels) == (Stage.HUNG, [])
        assert "1 Shop window bare, meter it" in get("/sets/1").text

    def test_from_plan_to_confirmed_and_back_to_bare(self, act, read, work, get, stores):
        act("plan", CTO)
        act("hung", CTO)
        predicted = work().predicted
        page = read(str(predicted.cct), str(predicted.duv), str(predicted.lux), behind="hung", hung="CTO 1/4")
        assert work().stage is Stage.CONFIRMED
        assert "Confirmed:" in page.text and "As bright as predicted" in page.text
        assert "1 done" in get("/sets/1").text
        assert "Done: 1 Shop window ¼ CTO" in get("/sets/1").text
        act("clear")
        assert work() is None
        assert stores.sets.get_source(1).source.reading.cct == 7200
        assert "Lock this plan" in buttons(get("/sources/1"))

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
        assert "Not as predicted" in page.text and "Swapped" in buttons(page)
        page = act("confirm")
        assert "Confirmed as it is: 4 300 K" in page.text
        assert "Take off" not in page.text.split("New reading")[0] and "Swapped" not in buttons(page)
        listed = get("/sets/1").text
        assert "Done: 1 Shop window ¼ CTO" in listed and "1 done" in listed
        assert "needs you" not in listed

    @pytest.mark.parametrize("before", [None, "plan"])
    def test_what_does_not_hang_cannot_be_confirmed(self, act, before, work):
        if before:
            act(before, CTO)
        was, page = work(), act("confirm")
        assert page.status == 422
        assert "nothing hangs here yet, so there is nothing to confirm" in alert_about(page, "Tap Hung first")
        assert work() == was

    @pytest.mark.parametrize(
        ("action", "stack", "says"),
        [
            ("burn", "{}", "'burn' is not a step here"),
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


class TestConflict:
    def test_who_comes_second_sees_what_the_first_did_and_loses_nothing(self, act, work, stores):
        seen = stores.sets.get_source(1).revision
        act("hung", CTO)
        page = act("hung", ["CTB full"], revision=seen)
        assert page.status == 409
        assert "Somebody changed this source meanwhile. Nothing was overwritten." in page.alerts[0]
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
        for path, answer in (("/sets/1", 'class="board"'), ("/sources/2", 'class="far"')):
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
        assert (
            "'nonsense' is not a caution. Allowed: hot, scrims, uv, tubes, height, mains, wet." in page.text
        )

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
        read_behind=Reading(cct=5610, duv=0.0031, lux=320, gels=CTO),
    )
    stores.sets.update_source(1, source.model_copy(update={"work": work}))
    text = get("/sources/1").text
    assert "1.0 stop darker than predicted." in text
    assert "0.0 step from the prediction. Up to 1.0 counts as predicted." in text.split("Numbers")[1]


def test_another_one_is_planned_while_nothing_hangs_and_said_to_hang_instead_once_one_does(
    sample, get, act, post, work
):
    assert "Plan it" in buttons(get("/sources/1")) and "Hung instead" not in buttons(get("/sources/1"))
    page = act("hung", CTO)
    assert "Hung instead" in buttons(page) and "Plan it" not in buttons(page)
    other = page.choices["stack"][0]
    post("/sources/1/work", {"revision": page.fields["revision"], "action": "hung", "stack": other})
    assert work().stage is Stage.HUNG
    assert work().gels == json.loads(other)["gels"] != CTO


def test_beside_a_swap_the_board_tells_what_it_leads_to(hang, metered, get, lamp, stores):
    """“Swap … a bit off, metered” read as if the swap ended a bit off."""
    hang("CTB 1/2")
    metered("CTB 1/2")
    owner = stores.sets.get_source(lamp).set_id
    row = re.search(rf'id="head-{lamp}".*?</a>', get(f"/sets/{owner}").html, re.DOTALL)[0]
    assert re.search("swap|add", row)
    assert "metered" not in row
    assert re.search(r"(matches|close|a bit off).{1,40}\d in 10", row, re.DOTALL)
