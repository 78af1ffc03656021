"""The sample that comes with the advisor shows each thing that it can do, at a first look."""

import re

import pytest

from advisor.advice.overview.ratios import over_key
from advisor.advice.plan.make import make_plan
from advisor.imports.gels.csv_table import read_gels
from advisor.model import Kind, Role, Stage, Target
from advisor.resources import folder
from advisor.sample import sample_set

SHIPPED = read_gels((folder("gels") / "generic.csv").read_bytes()).rows


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
    assert "It is set" in page.html or "It is hung" in page.html


def test_a_level_in_use_lies_between_two_that_were_read(heads, shipped, get):
    back = heads["Backlight"]
    assert back.source.level == 90
    page = get("/sources/5")
    assert "Worked out between the readings at 80 % and 100 %." in page.text
    assert page.html.count("over dim level") == 2
    assert page.html.count('circle class="read"') == 8


def test_nd_hangs_with_colour_for_a_limit_over_the_key(heads, shipped, get):
    window = heads["Shop window"]
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
    assert "Not as predicted: 4 810 K" in page.text and "That is done" in page.text
    assert "1 not as predicted" in get("/sets/1").text


def test_what_was_predicted_of_it_is_what_is_predicted_now(heads):
    """The figures in the sample are written by hand: they are those that the button would have kept."""
    made = sample_set()
    hung = {"read_behind": None, "predicted": None}  # as it was before anything was read behind it
    sources = [
        s.model_copy(update={"work": s.work.model_copy(update=hung)}) if s.work else s for s in made.sources
    ]
    before = make_plan(sources, made.target, made.limits, SHIPPED).heads
    for name in ("Backlight", "Shelf lamps"):
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
    shelf = heads["Shelf lamps"]
    assert shelf.stage is Stage.CONFIRMED and shelf.check.reached
    assert "Confirmed: 3 905 K" in get("/sources/6").text
    assert "1 confirmed" in get("/sets/1").text


def test_two_are_wanted_off_the_target(heads, shipped, get):
    aims = {name: head.source.aim for name, head in heads.items() if not head.source.aim.plain}
    assert set(aims) == {"Oven room tubes", "Shelf lamps"}
    assert "greener than the target" in get("/sources/4").text
    assert "warmer than the target" in get("/sources/6").text


def test_one_has_its_own_tolerance(heads, shipped, get):
    assert [h.source.name for h in heads.values() if h.source.tolerance_steps] == ["Shelf lamps"]
    assert get("/sources/6/edit").fields["tolerance_steps"] == "6"


def test_openings_are_given_for_what_is_gelled(heads, shipped, get):
    for name, head in heads.items():
        assert head.source.openings or head.source.kind is Kind.LED_WHITE, name
    assert get("/sets/1/pulls").status == 200


def test_its_cautions_follow_from_what_is_in_it(shipped, get):
    text = get("/sets/1").text
    for words in ("Hot face", "UV burns", "Tubes:", "work at height", "Mains:", "Wet:"):
        assert words in text


def test_loaded_with_its_button_it_is_the_same(post, stores):
    page = post("/sample")
    assert page.heading == sample_set().name
    assert "6 sources: 1 not as predicted" in page.text
    stored = stores.sets.get_set(1).light_set
    assert stored.model_copy(update={"target": sample_set().target}) == sample_set()


def test_what_was_confirmed_for_another_target_is_to_change(shipped, get, stores):
    assert "1 confirmed." in get("/sets/1").text
    stores.sets.update_set(shipped, target=Target(cct=3200, locus="planckian"))
    assert "1 to change" in get("/sets/1").text and "confirmed" not in get("/sets/1").text
    far = get("/sources/6").html.split('class="far"')[1].split("</div>")[0]
    assert far.index("Take off") < far.index("CTB")
