"""The sample that comes with the advisor shows each thing that it can do, at a first look."""

import re

import pytest

from advisor.advice.overview.ratios import over_key
from advisor.advice.plan.make import make_plan
from advisor.imports.gels.csv_table import shipped_gels
from advisor.imports.set_file import read_whole
from advisor.model import UNREAD, Kind, Role, Stage, Target
from advisor.sample import sample_set

SHIPPED = shipped_gels().rows


@pytest.fixture(scope="module")
def heads():
    """The sample's heads by name, as its plan has them."""
    made = sample_set()
    plan = make_plan(made.sources, made.target, made.limits, SHIPPED)
    assert plan.problems == ()
    return {head.source.name: head for head in plan.heads}


def test_it_is_six_sources_of_five_kinds_and_says_that_it_is_invented():
    made = sample_set()
    assert len(made.sources) == 6 and len({s.kind for s in made.sources}) == 5
    assert "invented" in made.name and "invented" in made.note


def test_every_head_is_advised_on(heads):
    assert all(head.problems == () and head.best for head in heads.values())


def test_a_dial_is_set(heads, shipped, get):
    panel = heads["Counter panel"]
    assert panel.source.reach and panel.best.dial
    page = get("/sources/3")
    assert re.search(r"Set \d \d{3} K", page.text)
    assert "Dials set" in page.html or "Hung" in page.html


def test_a_level_in_use_lies_between_two_that_were_read(heads, shipped, get):
    back = heads["Backlight"]
    assert back.source.level == 80
    page = get("/sources/5")
    assert "Bare, about 3 0" in page.text and "Not metered on this set." in page.text
    assert page.html.count("over dim level") == 2
    assert page.html.count('circle class="read"') == 6


def test_nd_hangs_with_colour_for_a_limit_over_the_key(heads, shipped, get):
    window = heads["Front window"]
    families = {gel.rpartition(" ")[0] for gel in window.best.gels}
    assert "ND" in families and families - {"ND"}
    made = sample_set()
    plan = make_plan(made.sources, made.target, made.limits, SHIPPED)
    [limit] = over_key(plan)
    assert limit.keeps and limit.now.stops > limit.limit
    assert "ND" in get("/sources/1").text.split("New reading")[0]


def test_the_key_is_one(heads):
    assert [name for name, head in heads.items() if head.source.role is Role.KEY] == ["Key through the door"]


def test_a_head_is_not_as_predicted_and_says_what_to_swap(heads, shipped, get):
    back = heads["Backlight"]
    assert back.stage is Stage.HUNG and not back.check.as_predicted
    assert back.check.swap.on or back.check.swap.off
    assert back.check.swap.result.miss.steps < back.check.left
    page = get("/sources/5")
    assert "Not as predicted: 4 750 K" in page.text and "Added" in page.text
    assert "1 needs you" in get("/sets/1").text


def test_what_was_predicted_of_it_is_what_is_predicted_now(heads):
    """The figures in the sample are written by hand: they are those that the button would have kept."""
    made = sample_set()
    hung = {"read_behind": None, "predicted": None}  # as it was before anything was read behind it
    sources = [
        s.model_copy(update={"work": s.work.model_copy(update=hung)}) if s.work else s for s in made.sources
    ]
    before = make_plan(sources, made.target, made.limits, SHIPPED).heads
    for name in ("Backlight", "Counter lamps"):
        [chosen] = [head.chosen for head in before if head.source.name == name]
        kept = heads[name].source.work.predicted
        assert chosen.gels == heads[name].source.work.gels
        assert chosen.after.cct == pytest.approx(kept.cct, abs=3)
        assert chosen.after.duv == pytest.approx(kept.duv, abs=2e-4)
        assert chosen.after.lux == pytest.approx(kept.lux, rel=0.02)
        assert chosen.uncertainty_steps == pytest.approx(kept.uncertainty_steps, abs=0.2)
        assert chosen.within == pytest.approx(kept.within, abs=0.02)
        assert kept.tolerance_steps == (heads[name].source.tolerance_steps or 3)


def test_a_head_is_confirmed(heads, shipped, get):
    shelf = heads["Counter lamps"]
    assert shelf.stage is Stage.CONFIRMED and shelf.check.reached
    assert "Confirmed: 3 905 K" in get("/sources/6").text
    assert "1 done" in get("/sets/1").text


def test_two_are_wanted_off_the_target(heads, shipped, get):
    aims = {name: head.source.aim for name, head in heads.items() if not head.source.aim.plain}
    assert set(aims) == {"Kitchen tubes", "Counter lamps"}
    assert "Kept ⅛ green." in get("/sources/4").text
    assert "Kept ½ CTO warm" in get("/sources/6").text


def test_one_has_its_own_tolerance(heads, shipped, get):
    assert [h.source.name for h in heads.values() if h.source.tolerance_steps] == ["Counter lamps"]
    assert get("/sources/6/edit").fields["tolerance_steps"] == "6"


def test_openings_are_given_for_what_is_gelled(heads, shipped, get):
    for name, head in heads.items():
        assert head.source.openings or head.source.kind is Kind.LED_WHITE, name
    assert get("/sets/1/pulls").status == 200


def test_its_cautions_follow_from_what_is_in_it(shipped, get):
    text = get("/sets/1").text
    for words in ("Hot face", "UV burns", "Tubes:", "work at height", "Mains:", "Wet:"):
        assert words in text


def told(sources):
    """What a set says of its sources, but for when their heads were tested."""
    light = {"tested_at": None}
    return [
        (
            s.model_copy(update={"test": None, "reading": UNREAD, "readings": []}),
            [r.model_copy(update=light) for r in (*s.readings, s.reading)],
            s.test and s.test.head,
        )
        for s in sources
    ]


def test_loaded_with_its_button_it_is_the_same(post, stores):
    page = post("/sample")
    assert page.heading == sample_set().name
    assert "1 needs you 4 to hang 1 done" in page.text
    stored = stores.sets.get_set(1)
    assert told(stored.light_set.sources) == told(sample_set().sources)
    assert (stored.sample, stored.target.cct) == (True, 5600)
    assert [c.what for c in stores.sets.history(1)] == ["set.added", *["source.added"] * 6]


def test_the_key_is_the_strongest_and_the_window_weaker(heads):
    """As a gaffer reads it: the fill about two stops under the key, the dusk under both key and back."""
    lux = {name: head.best.after.lux for name, head in heads.items()}
    assert lux["Front window"] <= lux["Key through the door"] / 2 < heads["Front window"].source.reading.lux
    assert 2.5 <= lux["Key through the door"] / lux["Counter panel"] <= 4.5
    assert max(s.reading.lux for s in sample_set().sources if not s.test) < 830


def test_three_invented_heads_are_tested_at_three_levels_with_two_modifiers(post, stores):
    post("/sample")
    known = stores.heads.list_heads()
    assert [one.readings for one in known] == [6, 12, 6]
    for one in known:
        head = one.stored.head
        assert "invented" in head.name and "invented" in head.group.casefold() and "invented" in head.note
        [test] = stores.heads.tests_of(one.stored.id)
        assert (len(test.test.levels), len(test.test.modifiers), test.unread) == (3, 2, [])
    used = {s.source.test.head for s in stores.sets.get_set(1).sources if s.source.test}
    assert used == {one.stored.head.name for one in known}


def test_one_drifts_green_below_a_fifth(post, stores):
    post("/sample")
    green = set()
    for one in stores.heads.list_heads():
        [test] = stores.heads.tests_of(one.stored.id)
        for taken in test.readings.values():
            twin = next(
                t.reading
                for t in test.readings.values()
                if (t.reading.level, t.reading.modifier, t.reading.dial)
                == (100, taken.reading.modifier, taken.reading.dial)
            )
            drift = taken.reading.duv - twin.duv
            if one.stored.head.kind is Kind.LED_WHITE:
                assert (drift > 0.004) == (taken.reading.level < 20)
                green.add(one.stored.head.name)
    assert len(green) == 1


def test_loaded_twice_its_heads_are_there_once_and_go_and_come_with_it(post, stores):
    post("/sample")
    before = stores.heads.exchange.export([1, 2, 3]).heads
    post("/sample/remove")
    assert stores.heads.list_heads() == [] and stores.sets.list_sets() == []
    post("/sample")
    assert stores.heads.exchange.export([1, 2, 3]).heads == before
    assert len(stores.heads.list_heads()) == 3
    post("/sample/remove")
    post("/sets/1/restore")
    assert len(stores.heads.list_heads()) == 3


def test_its_file_carries_its_heads(shipped, client):
    whole = read_whole(client.get(f"/sets/{shipped}/export.json").text)
    assert len(whole.heads) == 3 and whole.advisor_set == 3


def test_what_was_confirmed_for_another_target_is_to_change(shipped, get, stores):
    assert "1 done" in get("/sets/1").text
    stores.sets.update_set(shipped, target=Target(cct=3200, locus="planckian"))
    text = get("/sets/1").text
    assert re.search(r"\d need you", text) and " done" not in text
    far = get("/sources/6").html.split('class="far"')[1].split("</div>")[0]
    assert far.index("Take off") < far.index("CTB")
