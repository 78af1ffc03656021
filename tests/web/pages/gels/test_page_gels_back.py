"""A gel that was removed comes back from the page of gels, all day, beside what was changed since."""

import re

import pytest

from advisor.model import GelTable


@pytest.fixture
def remove(post, stores):
    """Remove gels as from their pages, and return the version that left the last one out."""

    def run(*names):
        for name in names:
            post("/gels/remove", {"name": name})
        return stores.gels.in_force().version

    return run


@pytest.fixture
def back(post):
    return lambda version, name: post("/gels/bring-back", {"gone": version, "name": name})


def test_it_is_told_with_its_time_and_comes_back_after_other_changes(remove, back, get, post, stores):
    before = stores.gels.in_force().table
    version = remove("CTO 1/4")
    post("/gels/switch", {"name": "CTB 1/4"})
    page = get("/gels")
    assert "1 gel removed" in page.text and re.search(r"Removed \d\d:\d\d", page.text)
    page = back(version, "CTO 1/4")
    assert page.status == 200 and "gel removed" not in page.text
    now = stores.gels.in_force().table
    assert [g.name for g in now.rows] == [g.name for g in before.rows]
    was_off, off = ({g.name for g in table.rows if not g.on} for table in (before, now))
    assert off - was_off == {"CTB 1/4"}
    assert "¼ CTO brought back" in page.text


def test_one_that_is_there_again_is_not_overwritten_and_it_says_so(remove, back, stores):
    row = stores.gels.in_force().table.find("CTO 1/4")
    version = remove("CTO 1/4")
    rows = [*stores.gels.in_force().table.rows, row.model_copy(update={"mired": 44.0})]
    stores.gels.by("Ana").replace(GelTable(rows=rows), "quarter CTO added")
    page = back(version, "CTO 1/4")
    assert page.status == 409
    assert "CTO is in the table again: nothing was brought back." in page.alerts[0]
    assert "Quarter CTO added" in page.alerts[0] and "Ana" in page.alerts[0]
    assert page.posts.count("/gels/bring-back") == 1
    assert "/gels/edit?name=CTO+1/4" in page.links or "/gels/edit?name=CTO%201/4" in page.links
    assert stores.gels.in_force().table.find("CTO 1/4").mired == 44


@pytest.mark.parametrize(
    ("version", "name", "status"),
    [("1", "CTB 1/4", 404), ("9", "CTO 1/4", 404), ("x", "CTO 1/4", 422), ("", "", 422)],
)
def test_what_cannot_be_is_said(remove, back, version, name, status):
    remove("CTO 1/4")
    assert back(version, name).status == status


def test_earlier_tables_say_what_would_go(remove, get):
    remove("CTO 1/4", "CTO 1/2", "CTO full")
    page = get("/gels")
    assert "1 later change would go" in page.text and "3 later changes would go" in page.text


def test_the_record_of_a_set_leads_there(sample, get):
    assert "/gels#removed" in get("/sets/1/record").links
