"""A head on which gel hangs already when it is first read: it stays on, and the bare light is worked out."""

import json

import pytest

from advisor.model import Stage

FIELDS = {
    "name": "Lobby",
    "kind": "tungsten",
    "cct": "4200",
    "duv": "0.001",
    "lux": "300",
    "read_behind": ["CTB 1/2", "", ""],
}


@pytest.fixture
def added(sample, post, stores):
    page = post(f"/sets/{sample}/sources/new", FIELDS)
    assert page.status == 200
    return stores.sets.get_source(7)


def test_it_is_kept_as_read_behind_what_hangs(added):
    source = added.source
    assert not source.reading.said and source.readings[0].gels == ["CTB 1/2"]
    assert source.work.stage is Stage.HUNG and source.work.gels == ["CTB 1/2"]


def test_its_page_says_what_it_reads_bare_and_what_to_do(added, get):
    page = get("/sources/7")
    assert page.status == 200
    assert "Worked out from what it read behind" in page.text
    assert "Bare, about 3 " in page.text or "Bare, about 2 9" in page.text
    assert "Take off" in page.text or "Add" in page.text


def test_every_page_of_its_set_opens(added, get):
    for path in ("", "/light", "/compare", "/whites", "/pulls", "/record", "/sheet", "/tags", "/days"):
        assert get(f"/sets/1{path}").status == 200, path


def test_a_bare_reading_later_counts(added, post, stores, get):
    form = {"cct": "3180", "duv": "0.0005", "behind": "bare", "hung": "CTB 1/2"}
    assert post("/sources/7/reading", form).status == 200
    assert stores.sets.get_source(7).source.reading.cct == 3180
    assert "Bare it reads 3 180 K" in get("/sources/7").text


def test_a_gel_that_is_in_no_table_is_refused_and_nothing_typed_is_lost(sample, post):
    page = post("/sets/1/sources/new", FIELDS | {"read_behind": ["Straw full"]})
    assert page.status == 422
    assert "Straw full" in page.text and 'value="Lobby"' in page.html


def test_the_file_of_the_set_keeps_it(added, get, client):
    whole = json.loads(client.get("/sets/1/export.json").data)
    [reading] = whole["sources"][6]["readings"]
    assert reading["reading"]["gels"] == ["CTB 1/2"]


def test_more_gels_than_can_hang_with_what_it_keeps_are_refused_and_nothing_typed_is_lost(sample, post):
    many = ["CTB 1/2", "CTB 1/4"] * 4
    page = post("/sets/1/sources/new", FIELDS | {"read_behind": many, "keep": ["CTO 1/8"]})
    assert page.status == 422
    assert "9 gels hang on it, with what it keeps" in page.text and "at most 8" in page.text
    assert 'value="Lobby"' in page.html
