"""Daylight that moves behind gel and ND: what hangs for the light is never blamed for a colour."""

import json
import re

import pytest

from advisor.model import Exposure, Kind, LightSet, Limits, Locus, Reading, Role, Source, Target


@pytest.fixture
def loft(stores):
    """Keep an invented set: a window as the fill of a key that is as it should be."""
    sources = [
        Source(
            name="Loft window",
            kind=Kind.DAYLIGHT,
            role=Role.FILL,
            reading=Reading(cct=5900, duv=0.0037, lux=820),
        ),
        Source(name="Panel", kind=Kind.LED_WHITE, role=Role.KEY, reading=Reading(cct=4300, duv=0.0, lux=398)),
    ]
    white = Target(cct=4300, locus=Locus.PLANCKIAN)
    kept = LightSet(
        name="Loft",
        target=white,
        limits=Limits(max_layers=4),
        sources=sources,
        exposure=Exposure(iso=800, frame_rate=24, constant=340),
    )
    return stores.sets.create_set(kept)


@pytest.fixture
def meter(loft, get, post):
    def send(cct, duv, lux, behind="hung"):
        fields = get("/sources/1").fields
        kept = {name: fields[name] for name in ("hung", "level", "modifier", "token") if name in fields}
        typed = {"cct": cct, "duv": duv, "lux": lux, "behind": behind}
        return post("/sources/1/reading", {**kept, **typed})

    return send


@pytest.fixture
def hang(loft, post, stores):
    def press(*gels):
        stack = json.dumps({"gels": gels, "dial": None})
        sent = {"revision": stores.sets.get_source(1).revision, "action": "hung", "stack": stack}
        return post("/sources/1/work", sent)

    return press


@pytest.fixture
def asked(loft, hang, post, stores):
    """Plan the window for a ratio of 3:1, and hang what that takes."""
    revision = str(stores.sets.get_set(loft).revision)
    post(f"/sets/{loft}/light/asked", {"key_to_fill": "3", "revision": revision})
    gels = stores.sets.get_source(1).source.work.gels
    hang(*gels)
    return gels


def told(page):
    return page.text.partition("New reading")[0]


def test_a_sky_that_moved_takes_no_nd_down(asked, meter):
    assert "ND 0.3" in asked
    assert "Matched" in told(meter(4330, -0.0002, 225))
    moved = told(meter(4490, 0.0002, 197))
    assert "Take off" not in moved and "Swap" not in moved
    assert "Daylight moves: meter it bare first." in moved
    bare = told(meter(6270, 0.0031, 701, "bare"))
    assert "Take off" not in bare


def test_no_plan_and_no_other_stack_undoes_the_light(asked, meter, get, loft):
    meter(4330, -0.0002, 225)
    page = meter(4490, 0.0002, 197)
    others = page.text.partition("In gel")[2].partition("Hang another one")[0]
    assert all("ND 0.3" in line for line in others.split("Hang ")[1:])
    plans = get(f"/sets/{loft}/plans").text
    assert "1 to meter" in plans and "Take off" not in plans


def test_what_is_swapped_for_the_colour_leaves_the_nd_up(asked, meter):
    """A sky that moved far: then gel is changed, and the light stays as it was asked for."""
    meter(4330, -0.0002, 225)
    meter(5300, 0.0012, 190)
    swapped = told(meter(8100, 0.0031, 701, "bare"))
    assert "Take off" in swapped
    assert re.search(r"ND 0\.3,[^.]* stay up", swapped), swapped


def test_nd_that_is_there_for_a_limit_goes_with_it(loft, stores, hang, meter):
    """Where the light over the key is limited, the ranking says how much ND that takes: here none."""
    window = stores.sets.get_source(1)
    stores.sets.update_source(1, window.source.model_copy(update={"over_key": 2.0}))
    hang("ND 0.3")
    assert "Take off ND 0.3" in told(meter(5900, 0.0037, 410))
