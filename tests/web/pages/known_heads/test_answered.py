"""A reading that contradicts the test of its head is answered by keeping it: the page asks no more.

An invented set: two lens heads of one kind. In one the lamp was changed; they stand in for each other, too.
"""

import re

import pytest

from tests.heads import keep_alike

LEVELS = {"Lens 1": {100: 3200, 60: 3020}, "Lens 2": {100: 3010, 60: 2840}}
ASKED = "Check the head’s number, its lamp and its level."


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def heads(shipped, stores):
    return keep_alike(stores.heads, LEVELS)


@pytest.fixture
def source(heads, stores, post):
    post("/sets/1/heads", {"one": str(heads["Lens 1"])})
    return stores.sets.get_set(1).sources[-1].id


@pytest.fixture
def meter(post, source):
    def take(cct, level=100):
        typed = {"cct": str(cct), "duv": "0.0003", "level": str(level)}
        return plain(post(f"/sources/{source}/reading", typed))

    return take


@pytest.fixture
def keep(post, source, heads):
    def answer(name="Lens 1", **more):
        said = {"source": str(source), "head": str(heads[name]), "from": "head", **more}
        return post("/sets/1/keep", said)

    return answer


def test_a_new_lamp_is_told_as_one_and_asked_about_no_more(meter, keep):
    assert ASKED in meter(2900)
    page = keep(lamp="new")
    assert page.heading == "Lens 1"  # back where it was answered
    assert "Kept 1 reading to Lens 1" in plain(page)
    assert re.search(r"New lamp since its test of [^:]*: 300 K lower\. The whole test moves", plain(page))
    assert ASKED not in plain(page)
    assert "Not as in its test" not in plain(page)


def test_the_new_lamp_read_once_more_is_in_no_doubt_and_another_light_is(meter, keep, get):
    meter(2900)
    keep(lamp="new")
    again = meter(2740, level=60)  # as much lower as at full
    assert "Not as in its test" not in again
    assert "Keep 1 reading to Lens 1" in again
    assert "Check first" not in plain(get("/sets/1/keep"))
    assert "Not as in its test" in meter(3300, level=60)


def test_what_is_kept_to_its_own_head_is_told_without_the_question(meter, keep):
    meter(2900)
    page = plain(keep())
    assert "300 K lower than in its test of" in page
    assert ASKED not in page
    assert "New lamp" not in page


def test_undone_it_is_asked_again(meter, keep, post, source):
    meter(2900)
    page = keep(lamp="new")
    [action] = re.findall(r'action="(/head-changes/\d+/undo)"', page.html)
    back = post(action, {"kept_of": str(source)})
    assert back.heading == "Lens 1"
    assert ASKED in plain(back)


def test_what_is_kept_to_another_head_leads_to_saying_so(meter, keep, post, source, heads, stores):
    assert "Reads as Lens 2’s test" in meter(3012)
    page = keep("Lens 2")
    assert "Kept to Lens 2. Is it that head?" in plain(page)
    assert "Not as in its test" not in plain(page)
    assert f'name="head" value="{heads["Lens 2"]}"' in page.html
    now = post(f"/sources/{source}/head", {"head": str(heads["Lens 2"])})
    assert now.heading == "Lens 2"
    assert "Is it that head?" not in plain(now)
    assert "Not as in its test" not in plain(now)
