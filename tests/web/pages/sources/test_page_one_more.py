"""A head that one more layer brings nearer: its page offers to allow it, and says what gel leaves."""

import re

import pytest

from advisor.model import LightSet, Limits, Reading, Source, Target

STACK = ("CTB 1/2", "CTB 1/4", "Plus green 1/8")


@pytest.fixture
def fresnel(stores, post):
    """A Fresnel, invented, behind three layers that leave it a bit off."""
    head = Source(name="Fresnel", kind="tungsten", reading=Reading(cct=3180, duv=-0.0005, lux=900))
    target = Target(cct=5000, locus="daylight")
    stores.sets.create_set(LightSet(name="Hall", target=target, limits=Limits(max_layers=3), sources=[head]))
    stack = '{"gels": ["' + '", "'.join(STACK) + '"]}'
    post("/sources/1/work", {"action": "hung", "stack": stack, "revision": 1})
    return post("/sources/1/reading", {"cct": "4740", "duv": "0.0027", "behind": "hung"})


def test_a_stack_that_is_a_bit_off_is_not_told_as_what_gel_cannot_do(fresnel):
    assert re.search(r"Gel brings it close \d in 10 at best\. Ask for a lamp of", fresnel.text)
    assert "Now ◑" not in fresnel.text, "nothing comes after it"
    assert "Gel can’t fix it" not in fresnel.text


def test_the_layer_that_helps_is_allowed_with_a_tap(fresnel, post, stores):
    assert "With one more layer it is close." in fresnel.text and "Allow 4 layers here" in fresnel.text
    page = post("/sources/1/layer", {"revision": stores.sets.get_source(1).revision, "layers": "4"})
    assert stores.sets.get_source(1).source.max_layers == 4
    assert "Allow" not in page.text and re.search(r"Add ⅛ CTB", page.text)
    refused = post("/sources/1/layer", {"revision": stores.sets.get_source(1).revision, "layers": "9"})
    assert refused.status == 422 and stores.sets.get_source(1).source.max_layers == 4


def test_its_light_path_says_what_it_goes_to(fresnel, stores, get):
    assert "target 5 000 K" in fresnel.text
    stores.sets.update_set(1, target=Target(cct=4800, locus="daylight"))
    assert "target 4 800 K" in get("/sources/1").text
    for cct in (5600, 6504, 4300):  # what is worked out of a daylight is up to a kelvin beside its name
        stores.sets.update_set(1, target=Target(cct=cct, locus="daylight"))
        assert f"target {cct // 1000} {cct % 1000:03} K" in get("/sources/1").text
