"""Heads beside each other on a page; all heads are invented."""

import pytest

from advisor.model import HeadTest, Kind, KnownHead, Reach, Setting
from tests.heads import read

WHITES = [(5810, -0.0014), (5812, -0.0013), (5800, 0.0024), (5811, -0.0013)]


@pytest.fixture
def panels(stores):
    for k, (cct, duv) in enumerate(WHITES, 1):
        head = KnownHead(name=f"Panel {k}", kind=Kind.LED_WHITE, group="Panels")
        test_id = stores.heads.begin_test(
            stores.heads.add_head(head), HeadTest(levels=[100, 10], modifiers=["", "dish"])
        )
        stores.heads.take_reading(test_id, read(100, cct=cct, duv=duv))
        stores.heads.take_reading(test_id, read(10, cct=cct - 100, duv=duv))
        if k < 3:
            stores.heads.take_reading(test_id, read(100, "dish", cct=cct, duv=duv))


@pytest.fixture
def tubes(stores):
    reach = Reach(cct_from=2700, cct_to=6500, cct_step=50, green_from=-10, green_to=10)
    for name, ccts in (("Tube A", (4400, 5380)), ("Tube B", (4500, 5600))):
        head_id = stores.heads.add_head(KnownHead(name=name, kind=Kind.LED_MIX, group="Tubes", reach=reach))
        dials = [Setting(cct=4500), Setting(cct=5600)]
        test_id = stores.heads.begin_test(head_id, HeadTest(levels=[100], dials=dials))
        for dial, cct in zip(dials, ccts, strict=True):
            stores.heads.take_reading(test_id, read(100, cct=cct, duv=0.0, dial=dial))


def text(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


def test_a_group_is_said_as_a_gaffer_would(panels, get):
    said = text(get("/heads/beside?group=Panels"))
    assert "Panels 1, 2 and 4 match." in said
    assert "Panel 3 is about an eighth greener than the rest." in said
    assert "Hang ⅛ minus green: matches." in said


def test_all_are_brought_to_the_one_that_is_named(panels, get):
    page = get("/heads/beside?group=Panels&to=3")
    assert page.fields["to"] == "3"
    assert text(page).count("Hang ⅛ plus green") == 3


def test_ticked_heads_alone_are_held_against_each_other(panels, get):
    page = get("/heads/beside?head=1&head=3")
    assert ("head", "2") not in page.ticked
    assert "Panel 3 is about an eighth greener than Panel 1." in text(page)


def test_who_was_not_read_so_is_said(panels, get):
    said = text(get("/heads/beside?group=Panels&modifier=dish"))
    assert "Panel 3 was not read with dish." in said
    assert "Panel 4 was not read with dish." in said
    said = text(get("/heads/beside?group=Panels&level=3"))
    assert "Panel 1 was not read near 3 %." in said
    assert "Test two heads that way to compare them." in said


def test_a_level_between_readings_is_about(panels, get):
    assert "about 5 7" in text(get("/heads/beside?group=Panels&level=30"))


def test_tubes_are_brought_together_by_their_dials(tubes, get):
    said = text(get("/heads/beside?group=Tubes&dial=5600/0&to=2"))
    assert "100 %, bare, dials at 5 600 K" in said
    assert "Set its dials to 5 " in said


def test_dials_that_nobody_read_there_are_told_as_such(tubes, stores, get):
    """An invented tube that is 300 K warm at the one setting that was read."""
    reach = Reach(cct_from=2700, cct_to=6500, cct_step=50, green_from=-10, green_to=10)
    tube = KnownHead(name="Tube C", kind=Kind.LED_MIX, group="Tubes", reach=reach)
    dial = Setting(cct=4500)
    test_id = stores.heads.begin_test(stores.heads.add_head(tube), HeadTest(levels=[100], dials=[dial]))
    stores.heads.take_reading(test_id, read(100, cct=4200, duv=0.0, dial=dial))
    said = text(get("/heads/beside?group=Tubes&dial=4500/0&to=2"))
    own = said.partition("Tube C about" if "Tube C about" in said else "Tube C 4 200 K")[2]
    assert "Set its dials to 4 " in own
    assert "Its dials were read at 4 500 K only." in own


def test_a_level_that_is_none_is_refused_and_kept(panels, get):
    page = get("/heads/beside?group=Panels&level=200")
    assert page.status == 422
    assert "Dim level 200 is out of range" in page.text
    assert page.fields["level"] == "200"


def test_without_heads_the_page_asks_which(stores, get):
    assert "No head was tested yet." in get("/heads/beside").text


def test_the_list_leads_there(panels, get):
    assert "/heads/beside?group=Panels" in get("/heads").links


def test_an_adjustable_head_is_held_at_the_dial_that_the_others_are_nearest_to(panels, tubes, get):
    page = get("/heads/beside?head=1&head=2&head=5")
    assert "dials at 5 600 K" in text(page)
    assert page.fields["dial"] == "5600/0"
