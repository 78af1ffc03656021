"""The test of a head is corrected, or it is tested again, while it is on a set: said there, taken up, undone.

An invented panel without dials; one of its levels was typed wrong in the morning.
"""

import re

import pytest

from advisor.model import HeadTest, Kind, KnownHead, Work
from tests.heads import read


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def tested(shipped, stores):
    head_id = stores.heads.add_head(KnownHead(name="Flat 2", kind=Kind.LED_WHITE))
    test = HeadTest(levels=[100, 30], modifiers=["", "softbox"], distance=3.0)
    readings = [read(100, cct=5710, duv=0.001, lux=1800), read(30, cct=5480, duv=0.001, lux=560)]
    readings += [read(100, "softbox", 5600, 0.002), read(30, "softbox", 5390, 0.002)]
    return head_id, stores.heads.add_test(head_id, test, readings)


@pytest.fixture
def source(tested, stores, post):
    post("/sets/1/heads", {"one": str(tested[0])})
    return stores.sets.get_set(1).sources[-1].id


def fix(post, test, **typed):
    post(f"/tests/{test}?at=1&fix=yes", {"cct": "5480", "duv": "0.001", "lux": "560", "sure": "yes", **typed})


def take_up(post, source, tested):
    return post(f"/sources/{source}/head", {"head": str(tested[0])})


def levels(stores, source):
    read_so = stores.sets.readings_of(source)
    return sorted((r.reading.level, r.reading.cct) for r in read_so if r.counts and r.tested)


def test_as_it_came_nothing_is_said(source, get, stores):
    stores.sets.change_source(source, {"level": 40.0, "work": Work(stage="hung", gels=["CTO 1/8"])})
    assert "corrected" not in plain(get(f"/sources/{source}"))
    assert "Flat 2 was" not in plain(get("/sets/1"))
    assert stores.heads.tested_since(1) == []


@pytest.mark.parametrize("typed", [{"level": "40"}, {"cct": "5440"}])
def test_a_corrected_test_is_said_and_one_tap_takes_it_up(source, tested, typed, get, post, stores):
    fix(post, tested[1], **typed)
    assert "The test of Flat 2 was corrected." in plain(get(f"/sources/{source}"))
    assert "The test of Flat 2 was corrected." in plain(get("/sets/1"))
    before = levels(stores, source)
    done = take_up(post, source, tested)
    assert "goes by the tests of Flat 2 as they are now." in plain(done)
    assert "was corrected" not in plain(get(f"/sources/{source}")) + plain(get("/sets/1"))
    bare = (float(typed.get("level", 30)), float(typed.get("cct", 5480)))
    assert bare in levels(stores, source) and (30, 5480) not in levels(stores, source)
    [undo] = re.findall(r'action="(/changes/\d+/undo-head)"', done.html)
    assert "was corrected" in plain(post(undo))
    assert levels(stores, source) == before
    assert "Flat 2: by the tests of Flat 2 as they are now" in plain(get("/sets/1/record"))
    assert "was corrected" not in plain(take_up(post, source, tested))


def test_a_newer_test_is_said_with_its_time_and_what_was_read_here_stays_the_newest(
    source, tested, get, post, stores
):
    post(f"/sources/{source}/reading", {"cct": "5650", "duv": "0.001", "level": "100"})
    stores.heads.add_test(tested[0], HeadTest(levels=[100], distance=3.0), [read(100, cct=5600, duv=0.001)])
    assert "Flat 2 was tested again: " in plain(get(f"/sources/{source}"))
    take_up(post, source, tested)
    assert stores.sets.get_source(source).source.reading.cct == 5650
    assert (100, 5600) in levels(stores, source)
    assert "tested again" not in plain(get(f"/sources/{source}"))


def test_what_was_kept_from_this_set_is_no_newer_test(source, tested, get, post, stores):
    post(f"/sources/{source}/reading", {"cct": "5690", "duv": "0.001", "level": "100"})
    post("/sets/1/keep", {"source": str(source)})
    assert "Flat 2 was" not in plain(get(f"/sources/{source}"))
    fix(post, tested[1], cct="5440")
    take_up(post, source, tested)
    tested_here = [r for r in stores.sets.readings_of(source) if r.counts and r.tested]
    assert [r.reading.cct for r in tested_here].count(5690) == 0
    assert "corrected" not in plain(get(f"/sources/{source}"))


def test_a_reading_of_the_test_mended_on_the_set_is_asked_about_no_more(source, get, post, stores):
    [one] = [r for r in stores.sets.readings_of(source) if r.reading.cct == 5480]
    post(f"/readings/{one.id}/mend", {"cct": "5430", "duv": "0.001", "lux": "560", "level": "30"})
    assert 5430 in [r.reading.cct for r in stores.sets.readings_of(source) if r.counts]
    assert "corrected" not in plain(get(f"/sources/{source}"))


def test_a_head_that_is_as_the_set_has_it_is_no_other_head(source, tested, post):
    page = take_up(post, source, tested)
    assert page.status == 422
    assert "no other head that was tested" in plain(page)
