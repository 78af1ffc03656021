"""A source that is another tested head in truth: said on its page, exchanged with one on the set, and undone.

An invented set: two fresnels of one kind whose labels went astray between the test and the set, a third that
stayed in the truck, and a lamp that nobody tested.
"""

import re

import pytest

from advisor.model import Kind
from tests.heads import keep_alike

LEVELS = {
    "Fresnel 7": {100: 3190, 60: 2970},
    "Fresnel 8": {100: 2940, 60: 2750},
    "Fresnel 9": {100: 3060, 60: 2880},
}


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def heads(shipped, stores):
    """Test the three heads, and return their ids by name."""
    return keep_alike(stores.heads, LEVELS)


@pytest.fixture
def sources(heads, stores, post):
    """Put the first two on the sample set, and return their sources by name."""
    for name in ("Fresnel 7", "Fresnel 8"):
        post("/sets/1/heads", {"one": str(heads[name])})
    return {s.source.name: s.id for s in stores.sets.get_set(1).sources}


def named(stores, source_id):
    source = stores.sets.get_source(source_id).source
    return source.name, source.test and source.test.head


def undo_of(page):
    [action] = re.findall(r'action="(/changes/\d+/undo-head)"', page.html)
    return action


def test_one_press_exchanges_two_that_were_mixed_up_and_one_undoes_both(sources, heads, get, post, stores):
    """At 60 % Fresnel 7 is at 2 970 K and Fresnel 8 at 2 750 K: the one called 7 reads 2 755 K."""
    seven, eight = sources["Fresnel 7"], sources["Fresnel 8"]
    post(f"/sources/{seven}/reading", {"cct": "2755", "duv": "0.0003", "level": "60"})
    page = get(f"/sources/{seven}")
    assert "Reads as Fresnel 8’s test at 60 %. Is it that head?" in plain(page)
    assert "It is Fresnel 8: exchange both" in plain(page)
    done = post(f"/sources/{seven}/head", {"head": str(heads["Fresnel 8"])})
    numbers = [stores.sets.get_source(k).number for k in (seven, eight)]
    assert (
        "Exchanged: No. {} is Fresnel 8, No. {} is Fresnel 7. Each goes by its own test. "
        "Gels and readings stay where they are."
    ).format(*numbers) in plain(done)
    assert "Not as in its test" not in plain(done)
    assert [named(stores, k) for k in (seven, eight)] == [("Fresnel 8",) * 2, ("Fresnel 7",) * 2]
    assert [stores.sets.get_source(k).source.reading.cct for k in (seven, eight)] == [2755, 3190]
    back = post(undo_of(done), {})
    assert "Not as in its test" in plain(back) and "Exchanged" not in plain(back)
    assert [named(stores, k) for k in (seven, eight)] == [("Fresnel 7",) * 2, ("Fresnel 8",) * 2]


def test_a_head_that_stayed_in_the_truck_takes_the_place(sources, heads, get, post, stores):
    seven = sources["Fresnel 7"]
    page = plain(get(f"/sources/{seven}"))
    assert "It is another head" in page and "Fresnel 8, on this set as No." in page
    done = plain(post(f"/sources/{seven}/head", {"head": str(heads["Fresnel 9"])}))
    number = stores.sets.get_source(seven).number
    assert f"No. {number} is Fresnel 9, not Fresnel 7. It goes by the test of that." in done
    assert "Likely" in done and named(stores, seven) == ("Fresnel 9", "Fresnel 9")
    assert "Fresnel 7: it is Fresnel 9" in plain(get("/sets/1/record"))


def test_what_was_kept_to_the_wrong_head_is_told(sources, heads, post, stores):
    seven = sources["Fresnel 7"]
    post(f"/sources/{seven}/reading", {"cct": "3175", "duv": "0.0003", "level": "100"})
    post("/sets/1/keep", {"source": str(seven)})
    done = post(f"/sources/{seven}/head", {"head": str(heads["Fresnel 9"])})
    assert "1 reading of it kept to Fresnel 7. Undo it there" in plain(done)
    assert f"/heads/{heads['Fresnel 7']}?done=yes" in done.html


def test_a_lamp_that_nobody_tested_is_a_tested_head(sources, heads, get, post, stores):
    other = next(k for name, k in sources.items() if not name.startswith("Fresnel"))
    was = stores.sets.get_source(other).source
    page = plain(get(f"/sources/{other}"))
    assert "It is a tested head" in page and "Fresnel 9" in page and "Fresnel 8, on this set" not in page
    done = post(f"/sources/{other}/head", {"head": str(heads["Fresnel 9"])})
    now = stores.sets.get_source(other).source
    assert (now.name, now.test.head, now.kind) == (was.name, "Fresnel 9", Kind.TUNGSTEN)
    assert now.reading == was.reading
    post(undo_of(done), {})
    assert stores.sets.get_source(other).source == was


def test_what_it_cannot_be_is_refused(sources, heads, post, stores):
    seven = sources["Fresnel 7"]
    for asked in ("", "999", str(heads["Fresnel 7"])):
        page = post(f"/sources/{seven}/head", {"head": asked})
        assert page.status == 422 and "this is no other head that was tested" in plain(page)
    assert named(stores, seven) == ("Fresnel 7", "Fresnel 7")


def test_who_said_otherwise_meanwhile_is_named(sources, heads, post, stores):
    seven = sources["Fresnel 7"]
    seen = str(stores.sets.get_source(seven).revision)
    post(f"/sources/{seven}/head", {"head": str(heads["Fresnel 9"]), "revision": seen})
    page = post(f"/sources/{seven}/head", {"head": str(heads["Fresnel 8"]), "revision": seen})
    assert page.status == 409 and "said which head it is meanwhile" in plain(page)
    assert named(stores, seven) == ("Fresnel 9", "Fresnel 9")
