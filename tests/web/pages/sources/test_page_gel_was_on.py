"""A bare reading that reads like behind the gel: a tap says that it was on, or that it was bare."""

import re

import pytest

from advisor.model import Stage
from tests.advice.lamps import read as meter
from tests.web.mending import LAMP, told

HUNG = "CTB full"
ASKED = "Was the gel on? It reads like behind full CTB, not bare."


def typed(post, *gels):
    read = meter(LAMP, gels)
    fields = {"cct": f"{read.cct:.0f}", "duv": f"{read.duv:.4f}", "behind": "bare"}
    return post("/sources/1/reading", fields)


@pytest.fixture
def doubted(hang, post):
    """Hang a full CTB, and file as bare what was read behind it."""
    hang(HUNG)
    return typed(post, HUNG)


def answer(page, post, **fields):
    number = re.search(r'name="reading" value="(\d+)"', page.html)[1]
    return post("/sources/1/was-on", {"reading": number, **fields})


def test_the_page_asks_before_it_blames_the_lamp(doubted):
    assert ASKED in doubted.text and "Was the gel on?" in doubted.text
    assert "The lamp changed" not in doubted.text
    assert "The gel was on" in doubted.text and "It was bare" in doubted.text


def test_one_tap_files_it_behind_the_gel(doubted, post, stores):
    page = answer(doubted, post)
    source = stores.sets.get_source(1).source
    assert (source.work.gels, source.work.read_behind.gels) == ([HUNG], [HUNG])
    assert source.reading.cct == 3200, "the lamp is as it was read bare before"
    assert ASKED not in page.text and "The lamp changed" not in page.text


def test_one_tap_says_that_it_was_bare(doubted, post, stores):
    page = answer(doubted, post, behind="bare")
    source = stores.sets.get_source(1).source
    assert source.reading.cct != 3200 and source.reading.gels_checked
    assert ASKED not in page.text


def test_it_is_asked_where_nobody_said_that_it_hangs(lamp, post, stores):
    page = typed(post, HUNG)
    if ASKED not in page.text:
        pytest.fail(page.text[:600])
    page = answer(page, post)
    source = stores.sets.get_source(1).source
    assert source.work.stage in (Stage.HUNG, Stage.CONFIRMED) and source.work.gels == [HUNG]
    assert [gels for _, gels, counts in told(stores, 1) if counts][-1] == [HUNG]
    assert ASKED not in page.text


def test_a_tap_that_comes_late_changes_nothing(doubted, post, stores):
    number = re.search(r'name="reading" value="(\d+)"', doubted.html)[1]
    answer(doubted, post)
    before = stores.sets.get_source(1)
    post("/sources/1/was-on", {"reading": number})
    assert stores.sets.get_source(1).source == before.source


def test_undo_asks_again(doubted, post, get, stores):
    answer(doubted, post)
    post(f"/changes/{stores.sets.history(1)[-1].id}/undo", {"from": "head"})
    assert ASKED in get("/sources/1").text
