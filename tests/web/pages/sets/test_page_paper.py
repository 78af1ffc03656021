"""What is printed: the set's sheet, and tags for the heads; beside them the plane's table."""

import re

import pytest

from advisor.model import Predicted, Reading, Setting, Stage, StandMove, WantedOffset, Work
from advisor.web.views import heads


def test_the_sheet_has_a_row_a_source(sample, get):
    page = get("/sets/1/sheet")
    assert page.heading.startswith("Bakery before dawn")
    assert "To 5 600 K daylight, within 3 steps." in page.text
    assert page.tags.count("tr") == 7
    assert len(re.findall("Hang [^r]|Stays bare", page.text)) == 6
    assert re.search(
        r"Shop window Daylight 7 200 K, Duv \+0.0041, 820 lx \d\d:\d\d, \d+ \w+ Hang ¼ CTO", page.text
    )


def test_the_sheet_says_how_a_source_stands_and_who_read_it(sample, get, stores):
    noor = stores.sets.by("Noor <b>")
    noor.add_reading(5, Reading(cct=3050, duv=0, lux=410, level=80, modifier="Softbox"))
    dialled = Reading(cct=5480, duv=-0.0021, dial=Setting(cct=5600, green=-2))
    stores.sets.by("Ilya").add_reading(3, dialled)
    text = get("/sets/1/sheet").text
    assert re.search(r"3 050 K, Duv 0.0000, 410 lx, at 80 %, with Softbox \d\d:\d\d, \d+ \w+, Noor <b>", text)
    assert re.search(r"5 480 K, Duv −0.0021, dials at 5 600 K, green −2 \d\d:\d\d, \d+ \w+, Ilya", text)
    assert "<b>" not in get("/sets/1/sheet").html


def test_the_sheet_says_what_was_done_and_what_was_found_behind_it(sample, get, stores):
    now = stores.sets.get_source(1)
    hung = Work(stage=Stage.HUNG, gels=["CTO 1/4"])
    stores.sets.update_source(1, now.source.model_copy(update={"work": hung}))
    stores.sets.by("Noor").add_reading(1, Reading(cct=5610, duv=0.0031, lux=640, gels=["CTO 1/4"]))
    page = get("/sets/1/sheet")
    found = r"Hung 5 610 K, Duv \+0.0031, 640 lx, \d\d:\d\d, \d+ \w+, Noor"
    assert re.search(found, page.text)
    assert page.html.count('<td class="onpaper"></td>') == 5
    stores.sets.add_reading(1, Reading(cct=5900, duv=0.0031, gels=["CTO 1/8"]))
    text = get("/sets/1/sheet").text
    assert "Hung, not read behind these. Behind ⅛ CTO: 5 900 K, Duv +0.0031, " in text


def test_the_sheet_says_where_a_stand_goes_and_at_which_level_its_head_was_read(sample, get, stores):
    now = stores.sets.get_source(1)
    work = Work(stage=Stage.CONFIRMED, gels=["CTO 1/4"])
    told = {"work": work, "stand": StandMove(times=1.4)}
    stores.sets.update_source(1, now.source.model_copy(update=told))
    stores.sets.add_reading(1, Reading(cct=5610, duv=0.0031, lux=320, level=50, gels=["CTO 1/4"]))
    text = get("/sets/1/sheet").text
    assert re.search(r"5 610 K, Duv \+0.0031, 320 lx, at 50 %, \d\d:\d\d", text)
    assert "To move to 1.4 × as far" in text
    assert "1 of 6 heads is hung or set. To do: move 1 stand." in text


def test_the_sheet_and_tags_say_what_is_wanted_and_at_which_level(sample, get, stores):
    now = stores.sets.get_source(2)
    wanted = now.source.model_copy(update={"aim": WantedOffset(mired=80.0)})
    stores.sets.update_source(2, wanted)
    stores.sets.add_reading(2, Reading(cct=5820, duv=0.0068, level=70, modifier="Grid"))
    assert "Kept ½ CTO warm" in get("/sets/1/sheet").text
    assert "Read 5 820 K, Duv +0.0068, at 70 %, with Grid." in get("/sets/1/tags").text


def test_the_sheet_has_the_plane_without_links(sample, get):
    page = get("/sets/1/sheet")
    assert 'aria-label="Shift plane' in page.html
    assert not [link for link in page.links if link.startswith("/sources")]


def test_the_sheet_leads_to_the_tags(sample, get):
    assert "/sets/1/tags" in get("/sets/1/sheet").links


def test_every_head_gets_a_tag_with_its_light_path(sample, get):
    page = get("/sets/1/tags")
    assert page.tags.count("h2") == 6
    assert page.html.count('aria-label="Light path"') == 6
    first = page.html.split("<h2")[1]
    assert re.findall(r'<li class="(\w+)">', first) == ["lamp", "sheet", "result"]
    assert "1 · Bakery before dawn (invented sample) · to 5 600 K daylight" in page.text


def test_a_tag_says_what_can_hurt_at_the_head(sample, get):
    """A tag goes to the head without the phone: common practice, no source."""
    tags = get("/sets/1/tags").html.split("<li><p")[1:]
    assert "<strong>At height: a second person at the ladder.</strong>" in tags[0]
    assert "UV: never without its safety glass." in tags[1]
    assert "<strong>" not in tags[2]


def test_a_tag_that_leaves_a_head_bare_says_that_no_light_is_lost(sample, get, stores):
    now = stores.sets.get_source(1)
    stores.sets.update_source(
        1, now.source.model_copy(update={"aim": WantedOffset(leave=True)}), revision=now.revision
    )
    tag = get("/sets/1/tags").text.split("Shop window")[1]
    assert tag.lstrip().startswith("Stays bare")
    assert "no loss" in tag.split("Key through the door")[0]


@pytest.mark.parametrize("path", ["/sets/1/sheet", "/sets/1/tags"])
def test_a_set_of_none_prints_nothing_wrong(post, get, path):
    post("/sets/new", {"name": "Stage 4", "target_cct": "5600", "target_locus": "daylight"})
    assert get(path).status == 200


def test_what_stands_in_the_way_is_printed(sample, get, post):
    fields = get("/sources/5/edit").fields
    post("/sources/5/edit", {**fields, "keep": ["ND 0.3"]})
    post("/gels/remove", {"name": "ND 0.3"})
    assert "No gel is called 'ND 0.3'" in get("/sets/1/sheet").text


def test_a_table_says_what_the_plane_shows(sample, get):
    page = get("/sets/1?view=plane")
    table = page.html.split("The plane as a table")[1].split("</table>")[0]
    assert table.count('<th scope="row">') == 6
    assert "The ring is 3 steps around the target." in page.text
    assert "6 Shelf lamps</th>" in table


def test_the_plan_follows_every_change(sample, get, post):
    """Plans are kept between pages: by what they follow from, so that none is ever stale."""
    assert "1 Shop window ¼ CTO" in get("/sets/1").text
    post("/sources/1/reading", {"cct": "5600", "duv": "0.0033"})
    assert "1 Shop window stays bare" in get("/sets/1").text
    assert "5 Backlight full CTB" in get("/sets/1").text
    post("/gels/remove", {"name": "CTB full"})
    assert "full CTB" not in get("/sets/1").text
    post("/sets/1/edit", {**get("/sets/1/edit").fields, "target_cct": "3200", "target_locus": "planckian"})
    assert "5 Backlight stays bare" in get("/sets/1").text
    post("/gels/back", {"version": "0"})
    assert "full CTO" in get("/sets/1").text


def test_what_was_read_behind_what_hangs_goes_before_what_was_predicted(sample, get, stores):
    """On the sheet, on the tag, in the plane's table: what the meter said, marked as read."""
    now = stores.sets.get_source(1)
    work = Work(
        stage=Stage.CONFIRMED,
        gels=["CTO 1/4"],
        predicted=Predicted(cct=5700, duv=0.0031, lux=640, uncertainty_steps=1.0),
        read_behind=Reading(cct=5510, duv=0.0034, lux=410, gels=["CTO 1/4"]),
    )
    stores.sets.update_source(1, now.source.model_copy(update={"work": work}))
    sheet = get("/sets/1/sheet").text
    assert "5 510 K, Duv +0.0034, 410 lx, metered Close, metered −1.0 stop" in sheet
    tag = get("/sets/1/tags").text.split("Key through the door")[0]
    assert "5 510 K, metered" in tag and "Close, metered, −1.0 stop." in tag
    table = get("/sets/1?view=plane").text.split("The plane as a table")[1]
    assert "¼ CTO: 1.3 steps off, metered, close: " in table
    light = get("/sets/1/light").html
    assert "<td>1.0</td>" in light.split("1 Shop window</th>")[1].split("</tr>")[0], "820 lx to 410 lx"


def test_the_sheet_and_the_tag_say_that_it_is_to_be_read_again(sample, get, stores):
    now = stores.sets.get_source(1)
    found = Reading(cct=5510, duv=0.0034, level=40, gels=["CTO 1/4"])
    work = Work(
        stage=Stage.CONFIRMED,
        gels=["CTO 1/4"],
        predicted=Predicted(cct=5510, duv=0.0031, uncertainty_steps=1.0),
        read_behind=found,
    )
    read = now.source.reading.model_copy(update={"level": 75})
    stores.sets.update_source(1, now.source.model_copy(update={"work": work, "reading": read, "level": 75}))
    said = "Read at 40 %, used at 75 %: read it again"
    assert f"Hung, to be read again: {said}." in get("/sets/1/sheet").text
    assert said in get("/sets/1/tags").text
    assert get("/sets/1").row(1).startswith("To meter: 1 Shop window ¼ CTO hung, meter it again")
    assert f"Hung, to be read again. {said}." in get("/sources/1").text


def test_paper_says_how_many_hang_how_many_stay_bare_and_how_many_are_to_change(act, get):
    act("hung", ["CTO 1/4"])
    act("hung", [], number=2)
    act("hung", ["CTO 1/2"], number=5)
    text = get("/sets/1/sheet").text
    assert "2 of 6 heads are hung or set, 1 stays bare on purpose. To do: check or change 1 head." in text


def test_paper_says_that_it_is_the_closest_there_is(act, read, work, change, get):
    change(5, only_gels=["CTB 1/8"], max_layers=1)
    act("hung", ["CTB 1/8"], number=5)
    predicted = work(5).predicted
    read(str(predicted.cct), str(predicted.duv), number=5, behind="hung", hung="CTB 1/8")
    for paper in ("sheet", "tags"):
        assert "Obvious, metered, the closest there is" in get(f"/sets/1/{paper}").text


def test_paper_says_that_a_lamp_is_suspected_of_drift_where_the_head_says_so(act, read, get, monkeypatch):
    monkeypatch.setattr(heads, "drifted", lambda plan, i: True)
    act("hung", ["CTO 1/4"])
    page = read("4900", "0.0040", behind="hung", hung="CTO 1/4")
    assert "The daylight drifted" in page.text
    for paper in ("sheet", "tags"):
        assert get(f"/sets/1/{paper}").text.count("the daylight drifted") == 1
