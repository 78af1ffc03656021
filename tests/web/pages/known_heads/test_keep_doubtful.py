"""Readings that contradict the test of their head are kept to it only where somebody says so.

An invented set: two tungsten heads whose labels were exchanged, and a third that reads as it was tested.
"""

import re

import pytest

from advisor.model import HeadTest, Kind, KnownHead
from tests.heads import read

LEVELS = {"Spot 4": {100: 3180, 60: 2960}, "Spot 5": {100: 2950, 60: 2760}, "Flood 1": {100: 3100, 60: 2900}}


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def sources(shipped, stores, post):
    """Test the three heads, put them on the sample set, and return their sources by name."""
    ids = {}
    for name, whites in LEVELS.items():
        head_id = stores.heads.add_head(KnownHead(name=name, kind=Kind.TUNGSTEN))
        test = HeadTest(levels=list(whites), distance=3.0, minutes_on=20)
        stores.heads.add_test(
            head_id, test, [read(level, cct=cct, duv=0.0003) for level, cct in whites.items()]
        )
        post("/sets/1/heads", {"one": str(head_id)})
        ids[name] = stores.sets.get_set(1).sources[-1].id
    return ids


@pytest.fixture
def meter(post, sources):
    def take(name, cct, level=80):
        post(f"/sources/{sources[name]}/reading", {"cct": str(cct), "duv": "0.0003", "level": str(level)})

    return take


def id_of(stores, name):
    return next(str(line.stored.id) for line in stores.heads.list_heads() if line.stored.head.name == name)


def kept(stores, name):
    return [test for test in stores.heads.tests_of(int(id_of(stores, name))) if test.test.on_set]


def test_exchanged_heads_are_named_and_are_not_in_keep_all(sources, meter, get, post, stores):
    """At 80 % Spot 4 is at 3 080 K and Spot 5 at 2 863 K, in between."""
    meter("Spot 4", 2870)
    meter("Spot 5", 3075)
    meter("Flood 1", 3010)
    said = plain(get(f"/sources/{sources['Spot 4']}"))
    assert "Not as in its test" in said
    assert "Reads as Spot 5’s test at 80 %. Is it that head?" in said
    assert "It is Spot 5: exchange both" in said
    assert "Keep 1 reading to Spot 4" not in said
    page = plain(get("/sets/1/keep"))
    assert "Reads as Spot 5’s test at 80 %." in page
    assert "Reads as Spot 4’s test at 80 %." in page
    assert "Keep all" not in page
    post("/sets/1/keep", {})
    assert (len(kept(stores, "Flood 1")), kept(stores, "Spot 4"), kept(stores, "Spot 5")) == (1, [], [])


def test_a_reading_is_kept_to_the_head_that_it_fits_once(sources, meter, get, post, stores):
    meter("Spot 4", 2870)
    assert "Keep to Spot 5" in plain(get("/sets/1/keep"))
    said = plain(post("/sets/1/keep", {"source": str(sources["Spot 4"]), "head": id_of(stores, "Spot 5")}))
    assert "Kept 1 reading to Spot 5" in said
    assert "Check first" not in said
    assert [test.readings[0].reading.cct for test in kept(stores, "Spot 5")] == [2870]
    assert kept(stores, "Spot 4") == []


def test_whoever_says_so_keeps_it_to_its_own_head(sources, meter, post, stores):
    meter("Spot 4", 2870)
    source = {"source": str(sources["Spot 4"])}
    assert "Is it that head?" in plain(post("/sets/1/keep", source))  # an older page asks now
    assert kept(stores, "Spot 4") == []
    post("/sets/1/keep", {**source, "head": id_of(stores, "Flood 1")})
    assert (kept(stores, "Flood 1"), kept(stores, "Spot 4")) == ([], [])
    post("/sets/1/keep", {**source, "head": id_of(stores, "Spot 4")})
    assert len(kept(stores, "Spot 4")) == 1


def test_a_reading_that_fits_no_head_says_what_to_check(sources, meter, get):
    meter("Spot 4", 3600)
    page = plain(get("/sets/1/keep"))
    assert "Not as in its test:" in page
    assert "Check the head’s number, its lamp and its level." in page
    assert "Is it that head?" not in page


def test_each_undo_of_what_was_kept_together_stays_on_the_page(sources, meter, post, get, stores):
    """All are kept at once; one is undone, and the other's undo is still there."""
    meter("Spot 5", 2868)
    meter("Flood 1", 3010)
    page = post("/sets/1/keep", {})
    assert "Kept 1 reading to Spot 5" in plain(page)
    assert "Kept 1 reading to Flood 1" in plain(page)
    tests = {name: kept(stores, name)[0].id for name in ("Spot 5", "Flood 1")}
    change = stores.heads.changes(int(id_of(stores, "Spot 5")))[0]
    forms = re.findall(r'name="kept" value="(\d+)"', page.html)
    assert {str(test) for test in tests.values()} <= set(forms)
    after = plain(post(f"/head-changes/{change.id}/undo", {"kept_on": "1", "kept": sorted(set(forms))}))
    assert kept(stores, "Spot 5") == []
    assert "Kept 1 reading to Spot 5" not in after
    assert "Kept 1 reading to Flood 1" in after


def test_a_reading_that_was_read_again_as_in_the_test_is_in_no_doubt(sources, meter, get):
    meter("Spot 4", 2870)
    meter("Spot 4", 3085)
    assert "Is it that head?" not in plain(get("/sets/1/keep"))


def answers(page):
    """Return what a tap says of a doubtful reading, by the words of its button."""
    found = {}
    for form in re.findall(r"<form.*?</form>", page.html, re.DOTALL):
        if words := re.search(r'<button name="head"[^>]*>([^<]*)<', form):
            found[words[1]] = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    return found


def test_the_source_asks_as_its_keep_page_does(sources, meter, get):
    meter("Spot 4", 2870)
    own, on_keep = (answers(get(path)) for path in (f"/sources/{sources['Spot 4']}", "/sets/1/keep"))
    assert list(own) == ["It is Spot 5: exchange both", "It is Spot 4: keep", "Spot 4, new lamp: keep"]
    assert list(on_keep) == ["Keep to Spot 5", *list(own)[1:]]


def test_a_new_lamp_is_said_on_the_source_and_told_by_the_head(sources, meter, get, post, stores):
    meter("Spot 4", 2870)
    said = answers(get(f"/sources/{sources['Spot 4']}"))["Spot 4, new lamp: keep"]
    post("/sets/1/keep", {name: said[name] for name in ("source", "head", "lamp")})
    [test] = kept(stores, "Spot 4")
    assert test.test.new_lamp and kept(stores, "Spot 5") == []
    page = plain(get(f"/heads/{id_of(stores, 'Spot 4')}"))
    assert re.search("1 reading kept from [^,]*, new lamp", page)
    assert "Kept from a set, new lamp" in page


def test_what_fits_another_heads_test_has_no_new_lamp_there(sources, meter, post, stores):
    meter("Spot 4", 2870)
    source = {"source": str(sources["Spot 4"]), "lamp": "new"}
    post("/sets/1/keep", {**source, "head": id_of(stores, "Spot 5")})
    assert not kept(stores, "Spot 5")[0].test.new_lamp


def test_a_reading_that_fits_no_head_may_be_of_a_new_lamp_too(sources, meter, get):
    meter("Spot 4", 3600)
    assert list(answers(get(f"/sources/{sources['Spot 4']}"))) == [
        "It is Spot 4: keep",
        "Spot 4, new lamp: keep",
    ]
