"""A sheet that burnt or tore comes off, is off the truck's count, and another of the same goes up.

The scenario is invented: a hot head behind two gels, and a stock that was counted.
"""

import json

import pytest

from advisor.model import GelTable, LightSet, Limits, Opening, Reading, Source, Stage, Target

GELS = ["CTB 1/2", "Plus green 1/8"]


@pytest.fixture
def rig(stores, post):
    """Count four sheets of ½ CTB; it hangs with ⅛ plus green, and was metered and confirmed."""
    rows = stores.gels.in_force().table.rows
    stores.gels.replace(
        GelTable(rows=[g.model_copy(update={"stock": 4}) if g.name == GELS[0] else g for g in rows]),
        "counted",
    )
    lamp = Source(name="Fresnel", kind="tungsten", reading=Reading(cct=3200, duv=0, lux=900))
    made = LightSet(name="Rig", target=Target(cct=4300), limits=Limits(share_stock=True), sources=[lamp])
    number = stores.sets.create_set(made)
    hung = json.dumps({"gels": GELS, "dial": None})
    post("/sources/1/work", {"revision": stores.sets.get_source(1).revision, "action": "hung", "stack": hung})
    post("/sources/1/reading", {"cct": 4290, "duv": 0.002, "lux": 400, "behind": "hung"})
    return number


def stock(stores, name=GELS[0]):
    return next(g.stock for g in stores.gels.in_force().table.rows if g.name == name)


def lose(post, name):
    return post("/sources/1/sheets", {"hung": "; ".join(GELS), "lost": name})


def test_it_is_lost_from_the_count_and_another_hangs_unread(rig, get, post, stores):
    assert "½ CTB is lost" in get("/sources/1").text, "where what hangs comes off"
    page = lose(post, GELS[0])
    work = stores.sets.get_source(1).source.work
    assert (work.stage, work.gels, work.read_behind) == (Stage.HUNG, GELS, None)
    assert stock(stores) == 3
    assert "½ CTB is lost. Hang another, then meter it. The truck’s count is 3 sheets now" in page.text
    assert "Meter it with the gel on." in page.text


def test_what_was_read_before_stays_and_counts(rig, post, stores):
    lose(post, GELS[0])
    assert [r.counts for r in stores.sets.readings_of(1)] == [True, True]


def test_over_large_openings_it_is_as_many_sheets_as_a_layer_takes(rig, post, stores, change):
    change(1, openings=[Opening(width=0.5, height=1.2, count=2)])
    lose(post, GELS[0])
    assert stock(stores) == 2


def test_a_gel_that_nobody_counted_loses_none(rig, post, stores):
    version = stores.gels.in_force().version
    page = lose(post, GELS[1])
    assert stores.gels.in_force().version == version
    assert "⅛ plus green is lost. Hang another, then meter it." in page.text and "count is" not in page.text


def test_a_gel_that_does_not_hang_is_refused(rig, post, stores):
    page = lose(post, "CTO full")
    assert page.status == 422 and "hangs on it now" in page.text
    assert stock(stores) == 4 and stores.sets.get_source(1).source.work.stage is Stage.CONFIRMED


def test_the_work_is_undone_as_any_other_and_the_count_says_why(rig, post, stores):
    lose(post, GELS[0])
    post(f"/changes/{stores.sets.history(rig)[-1].id}/undo", {"from": "head"})
    assert stores.sets.get_source(1).source.work.stage is Stage.CONFIRMED
    assert stores.gels.history()[-1].why == "CTB 1/2: 1 burnt or torn"


def test_what_nobody_read_yet_hangs_as_it_did(rig, post, stores):
    """Its chance was told by one reckoning before, and by another one after."""
    hung = json.dumps({"gels": GELS, "dial": None})
    post("/sources/1/work", {"revision": stores.sets.get_source(1).revision, "action": "hung", "stack": hung})
    before = stores.sets.get_source(1).source.work
    assert before.read_behind is None
    lose(post, GELS[0])
    assert stores.sets.get_source(1).source.work == before
    assert stock(stores) == 3
