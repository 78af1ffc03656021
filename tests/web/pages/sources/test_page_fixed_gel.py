"""A gel that is fixed on a head: hands hang the others, and every page says that it stays on."""

import json

import pytest

from advisor.model import Kind, LightSet, Limits, Reading, Source, Stage, Target, Work
from tests.web.pulling import panel

FROST = "½ diffusion"


@pytest.fixture
def fixed(stores):
    """Keep a set: a tungsten head that is to match daylight, behind a diffusion that stays on it."""
    read = Reading(cct=3200, duv=0)
    key = Source(name="Key", kind=Kind.TUNGSTEN, reading=read, openings=panel(), keep=["Diffusion 1/2"])
    limits = Limits(max_layers=2)
    return stores.sets.create_set(
        LightSet(name="Stage", target=Target(cct=5600), limits=limits, sources=[key])
    )


@pytest.fixture
def key(fixed, stores):
    return stores.sets.get_set(fixed).sources[0].id


@pytest.mark.parametrize("where", ["sets/{}", "sets/{}/order"])
def test_what_is_to_hang_names_only_what_hands_hang(fixed, get, where):
    page = get("/" + where.format(fixed)).text
    assert "full CTB" in page
    assert f"{FROST} +" not in page and f"+ {FROST}" not in page


def test_the_head_says_that_it_stays_on(key, get):
    order = get(f"/sources/{key}").text
    hang, stays = order.index("Hang"), order.index("Stays on")
    assert hang < stays < order.index("diffusion", stays)


def test_paper_says_both_in_one_sentence(fixed, get):
    page = get(f"/sets/{fixed}/tags").text
    assert f"Hang full CTB, {FROST} stays on" in page


def test_a_head_that_needs_no_other_gel_has_nothing_to_hang(fixed, key, get, stores):
    stores.sets.update_set(fixed, target=Target(cct=3200))
    page = get(f"/sets/{fixed}").text
    assert f"{FROST} stays on" in page
    assert "1 to hang" not in page


def test_once_the_stack_hangs_it_is_named_whole(fixed, key, get, stores):
    hung = Work(stage=Stage.HUNG, gels=["Diffusion 1/2", "CTB full"])
    stores.sets.change_source(key, {"work": hung})
    assert f"{FROST} + full CTB hung, meter it" in get(f"/sets/{fixed}").text


def test_of_two_gels_the_record_says_that_they_stay(fixed, key, get, post, stores):
    hung = Work(stage=Stage.HUNG, gels=["CTB 3/4", "CTB 1/2"])
    stores.sets.change_source(key, {"work": hung})

    def press(action, **more):
        revision = stores.sets.get_source(key).revision
        return post(f"/sources/{key}/work", {"action": action, "revision": revision, **more})

    press("plan", stack=json.dumps({"gels": ["Diffusion 1/2", "CTB full"]}))
    press("keep")
    record = get(f"/sets/{fixed}/record").text
    assert "¾ CTB and ½ CTB stay" in record and "CTB stays" not in record
