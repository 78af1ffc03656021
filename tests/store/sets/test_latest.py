"""What phones are told of a set that changed: a plan for several sources is adopted, as one change."""

import json

from advisor.model import Stage, Target, Work
from advisor.store.sets.latest import latest
from advisor.web.live.pulse import Pulse


def test_a_plan_that_is_adopted_is_told_as_one_change(db, sets, office):
    now = sets.get_set(office)
    window, lamp = (one.id for one in now.sources)
    works = {window: None, lamp: Work(stage=Stage.PLANNED, gels=["CTO 1/4"])}
    sets.by("Mara").adopted.adopt(office, now.target, works, revision=now.revision)
    found = latest(db, office)
    assert (found.what, found.who, found.source) == ("set.adopted", "Mara", None)
    assert b'"what": "adopted a plan"' in Pulse(db).beat(office, "").body
    sets.by("Bo").update_set(office, target=Target(cct=4800, locus="daylight"))
    said = Pulse(db).beat(office, "").body.decode()
    assert '"what": "changed the target to 4\u202f800\xa0K daylight"' in said
    one = sets.get_set(office)
    works = {lamp: Work(stage=Stage.PLANNED, gels=["CTO 1/8"])}
    sets.by("Mara").adopted.adopt(office, one.target, works, revision=one.revision)
    found = latest(db, office)
    assert (found.what, found.source) == ("source.planned", lamp)


def test_the_end_of_a_day_is_told_as_what_it_is(db, sets, office):
    def said(**changes):
        sets.by("Bo").update_set(office, **changes)
        return json.loads(Pulse(db).beat(office, "").body)["what"]

    assert said(pulled=["CTO 1/4: 2"]) == "ticked the pull list"
    assert said(wrapped=True, down=[]) == "wrapped: all comes down"
    assert said(down=[1]) == "ticked what came down"
    assert said(wrapped=False, down=[]) == "took the wrap back"
    assert said(stays_as="0123") == "left what moved as it is"
    assert said(note="Stage 2") == "changed the set"
