"""A level of a test that was read at another: asked about, told on the sheet, and struck out.

An invented discharge head, which follows its dimmer's number; 75 % was read while it stood at 50 %.
"""

import re

import pytest

from advisor.model import HeadTest, Kind, KnownHead
from tests.heads import read


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def test_id(stores):
    head_id = stores.heads.add_head(KnownHead(name="Arc 1", kind=Kind.DISCHARGE))
    readings = [
        read(100, cct=5920, duv=0.004, lux=800),
        read(75, cct=6240, duv=0.006, lux=402),
        read(50, cct=6250, duv=0.006, lux=397),
    ]
    return stores.heads.add_test(head_id, HeadTest(levels=[100, 75, 50], distance=3.0), readings)


def test_the_sheet_asks_about_two_levels_of_one_light(test_id, get):
    said = plain(get(f"/tests/{test_id}/sheet"))
    assert "75 % and 50 % gave the same light" in said
    assert "curve of its own" not in said


def test_while_it_is_read_it_is_asked_about(test_id, post, stores):
    stores.heads.drop_step(test_id, 2)
    page = post(f"/tests/{test_id}?at=2", {"cct": "6250", "duv": "0.006", "lux": "397"})
    assert page.status == 422
    assert "75 % gave the light of 50 %: was it at 50 %?" in plain(page)
    assert "Keep it, 75 %, bare was wrong" in plain(page)


def test_what_cannot_be_moved_is_struck_out_from_there_and_brought_back(test_id, get, post, stores):
    page = post(
        f"/tests/{test_id}?at=1&fix=yes",
        {"cct": "6240", "duv": "0.006", "lux": "402", "level": "50", "sure": "yes"},
    )
    assert page.status == 422
    assert "50 %, bare is read already" in plain(page)
    assert "or strike this one out" in plain(page)
    assert "Strike out 75 %, bare" in plain(page)
    assert re.search(r'name="drop" value="yes"', page.html)
    sheet = post(f"/tests/{test_id}?at=1&fix=yes", {"drop": "yes"})
    assert "75 %" not in plain(sheet).partition("Camera")[0].replace("1 reading left", "")
    assert sorted(stores.heads.get_test(test_id).readings) == [0, 2]
    assert "The light follows the dimmer's number" in plain(sheet)
    head_id = stores.heads.get_test(test_id).head_id
    change = stores.heads.changes(head_id)[0]
    assert "Reading struck out: 75 %, bare" in plain(get(f"/heads/{head_id}"))
    post(f"/head-changes/{change.id}/undo")
    assert sorted(stores.heads.get_test(test_id).readings) == [0, 1, 2]
