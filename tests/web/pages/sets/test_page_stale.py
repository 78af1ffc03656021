"""What hangs is what hangs: called wrong on every page where it is not what is advised, with why and when."""

import re

import pytest

from advisor.model import GelTable, Reading, Target, WantedOffset
from tests.web.working import CTO, buttons

AT = r"\d\d:\d\d, \d+ \w+"


@pytest.fixture
def said(get):
    """Return what the first head's own page and the set's say of it, up to what is next."""
    return lambda: (
        get("/sources/1").text.split("New reading")[0],
        re.split(r"To hang: 2 Key", get("/sets/1").text)[0],
    )


def test_a_stack_that_should_not_hang_is_called_wrong_with_its_own_count(act, said, get):
    page = act("hung", ["CTB full"])
    assert "Swapped" in buttons(page)
    head, line = said()
    assert re.search(r"Take off full CTB Hang ¼ CTO.* Hung full CTB\. Another stack is advised\.", head)
    assert "1 needs you" in line and "to meter" not in line
    assert re.search(r"Needs you: 1 Shop window swap full CTB for ¼ CTO", line)
    assert "Hung full CTB. Take off full CTB, hang ¼ CTO" in get("/sets/1/tags").text
    row = re.search(r"Shop window.*?</tr>", get("/sets/1/sheet").html, re.DOTALL)[0]
    assert "Take off full CTB, hang ¼ CTO" in row and "<strong>Hung full CTB" in row
    for path in ("compare", "light"):
        assert "Hung, to change: 1 Shop window." in get(f"/sets/1/{path}").text


def test_it_says_what_changed_since_and_when(act, said, post, stores, change):
    act("hung", CTO)
    assert "needs you" not in said()[1]
    stores.sets.update_set(1, target=Target(cct=3200, locus="planckian"))
    head, line = said()
    assert re.search(rf"Hung ¼ CTO\. The target changed at {AT}\.", head)
    assert re.search(rf"Needs you: 1 Shop window (swap|add) .* The target changed at {AT}", line)
    stores.sets.update_set(1, target=Target(cct=5600))
    assert "needs you" not in said()[1]


def test_another_aim_another_level_and_a_narrower_tolerance_are_reasons(act, said, stores, change):
    act("hung", CTO)
    change(1, aim=WantedOffset(mired=150))
    assert re.search(rf"Hung ¼ CTO\. What you want from it changed at {AT}\.", said()[0])
    change(1, aim=WantedOffset())
    assert "needs you" not in said()[1]
    stores.sets.add_reading(1, Reading(cct=3300, duv=0.0, level=40))
    stores.sets.add_reading(1, Reading(cct=7200, duv=0.0041, level=100))
    assert "needs you" not in said()[1]
    change(1, level=40)
    assert re.search(rf"Hung ¼ CTO\. The level changed at {AT}\.", said()[0])


def test_a_narrower_tolerance_is_a_reason(act, said, stores):
    limits = stores.sets.get_set(1).limits
    stores.sets.update_set(1, limits=limits.model_copy(update={"tolerance_steps": 30.0}))
    act("hung", ["CTO 1/8"])
    assert "needs you" not in said()[1]
    stores.sets.update_set(1, limits=limits)
    assert re.search(rf"Hung ⅛ CTO\. The limits changed at {AT}\.", said()[0])


def test_a_new_reading_and_another_gel_table_are_reasons_too(act, said, stores, read):
    act("hung", CTO)
    rows = stores.gels.in_force().table.rows
    weak = [g.model_copy(update={"mired": 5.0}) if g.name == "CTO 1/4" else g for g in rows]
    stores.gels.replace(GelTable(rows=weak), "weaker")
    read("4000", "0.0", behind="bare", hung="CTO 1/4")
    assert re.search(rf"It was read again at {AT}\.", said()[0])


def test_a_plan_of_the_day_before_goes_out_of_date_with_the_target(act, read, post, get, stores):
    act("hung", CTO)
    read("5600", "0.003", behind="hung", hung="CTO 1/4")
    post("/sets/1/duplicate")
    assert "1 Shop window now" not in get("/sets/2").text
    stores.sets.update_set(2, target=Target(cct=3200, locus="planckian"))
    text = get("/sets/2").text
    assert re.search(rf"Needs you: 1 Shop window now .* The target changed at {AT}", text)
    for paper in ("sheet", "tags", "pulls", "compare", "light"):
        assert re.search("[Oo]ut of date", get(f"/sets/2/{paper}").text)


def test_a_plan_over_its_limit_says_which(act, post, get):
    act("plan", ["CTO 1/8", "CTO 1/8"])
    fields = get("/sources/1/edit").fields
    post("/sources/1/edit", {**fields, "max_layers": "1"})
    assert "Over its limit: 1 layer at most." in get("/sources/1").text


def test_the_record_and_the_sheet_say_what_hangs_now_and_as_at_when(act, get, sample):
    text = get("/sets/1/record").text
    assert re.search(rf"What hangs at {AT} Nothing hangs yet on 1 Shop window, 2 Key", text)
    assert re.search(rf"At {AT} \d{{4}}: nothing hangs yet\.", get("/sets/1/sheet").text)
    act("hung", CTO)
    act("hung", ["CTB full"], number=5)
    act("confirm", number=5)
    act("plan", ["CTB 1/2"], number=6)
    text = get("/sets/1/record").text
    assert re.search(
        rf"What hangs at {AT} 1 Shop window Hung ¼ CTO Close, \d in 10\. 5 Backlight Hung full CTB, conf",
        text,
    )
    assert "Nothing yet on 2 Key through the door, 3 Counter panel, 4 Oven room tubes, 6 Shelf" in text
    sheet = get("/sets/1/sheet").text
    assert re.search(rf"At {AT} \d{{4}}: 2 of 6 heads are hung or set\.", sheet)
    assert "Hung ¼ CTO" in sheet and "Hung full CTB" in sheet
    assert re.search(rf"· at {AT}", get("/sets/1/tags").text)


def test_what_hangs_is_said_though_its_gel_left_the_table(act, get, stores):
    act("hung", CTO)
    rows = [g for g in stores.gels.in_force().table.rows if g.name != "CTO 1/4"]
    stores.gels.replace(GelTable(rows=rows), "less")
    for page in ("sheet", "tags", "record"):
        assert "Hung ¼ CTO" in get(f"/sets/1/{page}").text


def test_a_plan_for_another_white_gives_way_with_its_verdict(act, said, stores, get):
    """“Now bare · obvious” was the word for what had been planned, beside what is advised now."""
    act("plan", CTO)
    stores.sets.update_set(1, target=Target(cct=3600, locus="planckian"))
    row = get("/sets/1").row(1)
    advised = get("/sources/1").text.split("Planned before")[0]
    assert re.search(r" now .* (close|matches)", row) and "obvious" not in row, (row, advised)
