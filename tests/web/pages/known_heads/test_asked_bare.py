"""A tested head reads behind its gels as its test cannot: the pad that the page asks for opens bare.

An invented tungsten lens head whose lamp was changed between its test and the set.
"""

import pytest

from advisor.model import HeadTest, Kind, KnownHead, Work
from tests.heads import read


@pytest.fixture
def lens(shipped, stores, post):
    head_id = stores.heads.add_head(KnownHead(name="Lens 7", kind=Kind.TUNGSTEN))
    readings = [read(100, cct=3190, duv=0.0003, lux=1500), read(50, cct=2980, duv=0.0003, lux=610)]
    stores.heads.add_test(head_id, HeadTest(levels=[100, 50], distance=3.0, minutes_on=20), readings)
    post("/sets/1/heads", {"one": str(head_id)})
    source = stores.sets.get_set(1).sources[-1].id
    stores.sets.change_source(source, {"work": Work(stage="hung", gels=["CTB 1/4"])})
    return source


@pytest.fixture
def meter(lens, post):
    def take(cct, behind="hung", **more):
        typed = {"cct": str(cct), "duv": "0.0003", "level": "100", "behind": behind, "hung": "CTB 1/4"}
        return post(f"/sources/{lens}/reading", {**typed, **more})

    return take


def test_it_opens_with_the_gel_until_the_page_asks_for_a_bare_reading(lens, get, meter, post):
    assert get(f"/sources/{lens}").fields["behind"] == "hung"
    meter(3300, lux="1180")
    page = post(f"/sources/{lens}/gel", {"hung": "CTB 1/4", "of": "CTB 1/4", "instead": "CTB 1/4"})
    assert "Meter it bare" in page.text
    assert page.fields["behind"] == "bare"
    assert "Meter it bare" not in meter(2960, "bare", lux="1500").text


def test_what_somebody_chose_stays_chosen(lens, meter):
    meter(3300, lux="1180")
    refused = meter("", lux="1180")
    assert (refused.status, refused.fields["behind"]) == (422, "hung")
