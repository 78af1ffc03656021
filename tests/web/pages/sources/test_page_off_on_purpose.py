"""A head that somebody left as it is, and that is off: gel is not blamed, and it can be on purpose."""

import pytest

from advisor.model import Kind, LightSet, Limits, Reading, Role, Source, Target

SHARED = Limits(share_stock=True)
WARM = Reading(cct=2850, duv=0.0, lux=60)


@pytest.fixture
def lounge(stores):
    """Keep an invented set: a wall lamp in a white of 5 600 K, and two panels."""
    panels = [
        Source(name=name, kind=Kind.LED_WHITE, reading=Reading(cct=5600, duv=0.003, lux=300))
        for name in ("Left panel", "Right panel")
    ]
    lamp = Source(name="Wall lamp", kind=Kind.TUNGSTEN, role=Role.PRACTICAL, reading=WARM)
    kept = LightSet(name="Lounge", target=Target(cct=5600), limits=SHARED, sources=[lamp, *panels])
    return stores.sets.create_set(kept)


@pytest.fixture
def decide(lounge, press):
    return lambda action, *gels: press(action, gels if action == "hung" else None)


@pytest.fixture
def read_near(decide, post):
    """Read it near behind two sheets, then leave it bare all the same."""
    decide("hung", "CTB full", "CTB 1/4")
    post("/sources/1/reading", {"cct": 5520, "duv": 0.0028, "lux": 14, "behind": "hung"})
    return decide("hung")


def test_gel_that_was_read_to_bring_it_near_can_fix_it(read_near, get, lounge):
    page = get(f"/sets/{lounge}/compare")
    assert "Gel can’t fix Wall lamp" not in page.text
    assert "Wall lamp" in page.heading, "it is in frame, and nobody said that it is so on purpose"


def test_its_page_has_that_choice(read_near, get, post, stores, lounge):
    page = get("/sources/1")
    assert "Off on purpose? Stays bare" in page.text
    revision = stores.sets.get_source(1).revision
    page = post("/sources/1/aim", {"revision": revision, "from": "head", "wanted": "leave"})
    assert "Off on purpose?" not in page.text
    assert "Wall lamp" not in get(f"/sets/{lounge}/compare").heading


def test_with_gel_on_it_leads_to_how_far(decide, post, get, lounge):
    decide("hung", "CTB 1/4")
    post("/sources/1/reading", {"cct": 3300, "duv": 0.0, "lux": 40, "behind": "hung"})
    assert "Off on purpose?" not in get("/sources/1").text, "somebody is still at it"
    page = decide("confirm")
    assert f"/sets/{lounge}/compare#aim-1" in page.links
    assert 'id="aim-1"' in get(f"/sets/{lounge}/compare").html


def test_what_matches_is_not_asked(get, lounge):
    assert "Off on purpose?" not in get("/sources/2").text
