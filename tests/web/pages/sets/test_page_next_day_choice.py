"""What somebody chose knowing that it is off stays a choice on the next day, while nothing changed.

The scenario is invented: a panel behind less blue than the target asks for, and ND, since its light has to
go down.
"""

import json

import pytest

from advisor.model import Kind, LightSet, Reading, Source, Stage, Target

CHOSEN = ["CTB 1/4", "ND 0.3"]


@pytest.fixture
def office(stores, post):
    """Hang it by hand, meter it and confirm it as it is; return the id of the panel on the day after."""
    panel = Source(name="Panel", kind=Kind.LED_WHITE, reading=Reading(cct=3350, duv=0.0010, lux=420))
    made = LightSet(name="Office", target=Target(cct=4300), sources=[panel])
    number = stores.sets.create_set(made)
    first = json.dumps({"gels": ["CTB 1/2"], "dial": None})
    hung = json.dumps({"gels": CHOSEN, "dial": None})

    def press(**data):
        post("/sources/1/work", {"revision": stores.sets.get_source(1).revision, **data})

    press(action="hung", stack=first)
    post("/sources/1/reading", {"cct": 4210, "duv": 0.0018, "lux": 245, "behind": "hung"})
    press(action="hung", stack=hung)
    post("/sources/1/reading", {"cct": 3720, "duv": 0.0015, "lux": 165, "behind": "hung"})
    press(action="confirm")
    assert stores.sets.get_source(1).source.work.stage is Stage.CONFIRMED
    [again] = stores.sets.get_set(stores.sets.days.duplicate(number)).sources
    return again.id


def test_it_stays_a_choice_while_nothing_changed(office, get):
    """It said “Out of date”, and on the board “now ½ CTB + ND 0.3”, as no page did the day before."""
    assert "Out of date" not in get("/sources/1").text
    head, board = get(f"/sources/{office}"), get("/sets/2")
    assert "Planned." in head.text and "Out of date" not in head.text
    assert board.row(1).startswith("To hang: 1 Panel ¼ CTB + ND 0.3")


def test_its_other_light_is_advised_on_with_the_nd_that_stays(office, get):
    """A reading without the ND was what a bad try could go back to, so all stacks with it cost the same."""
    head = get(f"/sources/{office}")
    assert "Advised now: Hang ND 0.3 and ½ CTB." in head.text


def test_once_its_lamp_reads_otherwise_it_is_out_of_date(office, get, post):
    post(f"/sources/{office}/reading", {"cct": 3150, "duv": 0.0012, "lux": 420})
    said = get(f"/sources/{office}").text
    assert "Hang ND 0.3 ½ CTB Planned before: ¼ CTB and ND 0.3. Out of date." in said


def test_what_was_metered_before_is_said_to_be_where_nothing_hangs(office, stores, get, post):
    """The plan gives way to a stack that was read the day before, and hangs nowhere now."""
    plan = json.dumps({"gels": ["CTB 1/4"], "dial": None})
    stores.sets.update_set(2, target=Target(cct=4100))
    now = stores.sets.get_source(office)
    post(f"/sources/{office}/work", {"revision": now.revision, "action": "plan", "stack": plan})
    stores.sets.update_set(2, target=Target(cct=4230))
    row = get("/sets/2").row(1)
    assert "now ½ CTB" in row and row.strip().endswith("metered before")
