"""A gel that burnt while it hung: the page asks for a bare reading, and one tap hangs new sheets.

The lamp and its readings are invented.
"""

import pytest

from advisor.model import Stage
from tests.advice.lamps import read as meter
from tests.web.mending import LAMP, told

HUNG = "CTB full"
ASKED = "Gel burnt or faded, or the lamp changed? Meter it bare: that tells."


@pytest.fixture
def burnt(hang, metered, post):
    """Read right behind a full CTB, then as through half of its dye."""
    hang(HUNG)
    metered(HUNG)
    return post("/sources/1/reading", {"cct": "4310", "duv": "0.0020", "lux": "520", "behind": "hung"})


def test_the_page_asks_and_blames_no_lamp(burnt):
    assert ASKED in burnt.text and "Meter it bare" in burnt.text.split(ASKED)[0]
    assert "The light changed" not in burnt.text and "Bare, about" not in burnt.text
    assert "Gel burnt: new sheets" in burnt.text and "The gel is fine" in burnt.text
    assert "Swapped" not in burnt.text and "Left out until the gel is checked." in burnt.text


def test_new_sheets_are_one_tap(burnt, post, stores):
    page = post("/sources/1/sheets", {"hung": HUNG})
    work = stores.sets.get_source(1).source.work
    assert (work.stage, work.gels, work.read_behind) == (Stage.HUNG, [HUNG], None)
    assert ASKED not in page.text and "Meter it with the gel on." in page.text
    assert "Behind gel that burnt: it counts for nothing." in page.text
    assert [counts for cct, _, counts in told(stores, 1) if cct == 4310] == [False, True], (
        "it stays on record"
    )


def test_what_is_read_behind_them_counts_as_before(burnt, post, metered, stores):
    post("/sources/1/sheets", {"hung": HUNG})
    page = metered(HUNG)
    assert "The light changed" not in page.text and ASKED not in page.text
    assert "Left out" not in page.text
    assert stores.sets.get_source(1).source.work.read_behind.gels == [HUNG]


def test_a_second_tap_changes_nothing(burnt, post, stores):
    post("/sources/1/sheets", {"hung": HUNG})
    before = stores.sets.get_source(1)
    post("/sources/1/sheets", {"hung": HUNG})
    assert stores.sets.get_source(1).source == before.source


def test_undo_brings_the_question_back(burnt, post, stores, get):
    post("/sources/1/sheets", {"hung": HUNG})
    post(f"/changes/{stores.sets.history(1)[-1].id}/undo", {"from": "head"})
    assert ASKED in get("/sources/1").text


def test_other_sheets_by_now_are_said(burnt, client):
    answer = client.post("/sources/1/sheets", data={"hung": "CTB 1/2"})
    assert answer.status_code == 422 and "hangs on it now" in answer.get_data(as_text=True)


def test_read_bare_as_before_it_was_the_gel(burnt, post):
    bare = meter(LAMP)
    fields = {"cct": f"{bare.cct + 8:.0f}", "duv": f"{bare.duv:.4f}", "lux": "1000", "behind": "bare"}
    page = post("/sources/1/reading", fields)
    assert "The gel burnt or faded: bare it reads as before. Hang new sheets." in page.text


def test_who_looked_at_the_gel_says_that_it_is_the_lamp(burnt, post):
    page = post("/sources/1/gel", {"of": HUNG, "instead": HUNG, "hung": HUNG})
    assert ASKED not in page.text and "The light changed" in page.text


def test_taken_off_nothing_is_told_from_it(burnt, post, stores):
    before = stores.sets.get_source(1).revision
    page = post("/sources/1/work", {"action": "clear", "revision": before})
    assert "The light changed" not in page.text and "full CTB" in page.text
