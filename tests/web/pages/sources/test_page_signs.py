"""A window read twice behind one stack, with Duv of opposite signs: asked, and mended."""

import json

import pytest

from advisor.model import Kind, LightSet, Reading, Source, Target
from tests.web.working import buttons

HUNG = ["CTO 1/2", "Minus green 1/8"]


@pytest.fixture
def window(stores, post):
    """Keep a window that reads by its stack's prediction, and return how a reading of it is taken."""
    read = Reading(cct=6250, duv=0.0053, lux=1900)
    lone = Source(name="Window", kind=Kind.DAYLIGHT, reading=read)
    stores.sets.create_set(LightSet(name="Ward", target=Target(cct=4100), sources=[lone]))
    post("/sources/1/work", {"revision": 1, "action": "hung", "stack": json.dumps({"gels": HUNG})})

    def take(cct, duv, behind="hung", lux=""):
        fields = {"cct": cct, "duv": duv, "lux": lux, "behind": behind}
        return post("/sources/1/reading", fields)

    return take


def test_two_signs_are_asked_about_until_one_is_mended(window, get, post, stores):
    window("4230", "0.0017")
    page = window("4200", "-0.0018")
    ask = "Duv +0.0017, then −0.0018. Which sign is right? If you can’t tell, meter it again."
    assert ask in page.text
    assert {"The last was Duv +0.0018", "The one before was Duv −0.0017"} <= buttons(page)
    assert "Strike out the last" in buttons(page)
    assert get("/sets/1").row(1).startswith("Needs you: 1 Window Duv +0.0017 or −0.0018?")
    page = window("6230", "0.0052", behind="bare", lux="1900")
    assert ask in page.text, "the light bare says nothing of a sign behind gels"
    assert "Meter it bare" not in page.text
    mended = [post for post in page.posts if post.endswith("/mend")]
    page = post(mended[1], {"duv": "-0.0017"})
    assert "Which sign" not in page.text
    read = [kept.reading for kept in stores.sets.readings_of(1) if not kept.struck]
    assert sorted(reading.duv for reading in read if reading.gels) == [-0.0018, -0.0017]
