"""A head that is told dials and no gel, read at just those: they are set, and what was read confirms them.

An invented key with a green dial that nobody read at two greens.
"""

import pytest

from advisor.model import Kind, LightSet, Locus, Reach, Reading, Role, Setting, Source, Stage, Target
from tests.web.page import plain


@pytest.fixture
def key(stores):
    """Keep the key, read at 5 600 K of its dial, for 4 300 K; return how it is by now."""
    source = Source(
        name="Key",
        kind=Kind.LED_MIX,
        role=Role.KEY,
        reading=Reading(cct=5510, duv=0.0045, lux=400, dial=Setting(cct=5600)),
        reach=Reach(cct_from=2700, cct_to=6500, green_from=-10, green_to=10),
    )
    white = Target(cct=4300, locus=Locus.PLANCKIAN)
    stores.sets.create_set(LightSet(name="Booth", target=white, sources=[source]))
    return lambda: stores.sets.get_source(1).source


@pytest.fixture
def meter(key, get, post):
    def send(**typed):
        fields = get("/sources/1").fields
        own = ("behind", "hung", "level", "modifier", "dial_cct", "dial_green", "token")
        return plain(post("/sources/1/reading", {**{k: fields[k] for k in own if k in fields}, **typed}).text)

    return send


def test_the_green_dial_is_advised_before_anybody_read_it(key, get):
    said = plain(get("/sources/1").text)
    assert "Set 4 400 K green −1" in said and "minus green" not in said.partition("New reading")[0]


def test_read_at_the_dials_advised_it_is_set_and_confirmed(key, meter):
    said = meter(cct="4310", duv="0.0004")
    assert "Confirmed: 4 310 K, Duv +0.0004." in said
    assert "Dials set" not in said.partition("New reading")[0]
    work = key().work
    assert (work.stage, work.dial, work.gels) == (Stage.CONFIRMED, Setting(cct=4400, green=-1), [])
    assert work.read_behind.cct == 4310 and work.read_bare.cct == 5510


def test_read_there_and_off_it_is_told_where_to_turn_next(key, meter):
    said = meter(cct="4320", duv="0.0031")
    assert key().work.stage is Stage.HUNG
    assert "Dials at 4 400 K, green −1" in said and "Hang" not in said.partition("Dials at")[0]


def test_read_at_other_dials_it_is_not_set(key, meter):
    meter(cct="3220", duv="0.0021", dial_cct="3200", dial_green="0")
    assert key().work is None


def test_undone_it_is_as_it_was(key, meter, stores, post):
    meter(cct="4310", duv="0.0004")
    [last] = [r.id for r in stores.sets.readings_of(1) if r.reading.cct == 4310]
    post(f"/readings/{last}/strike", {})
    assert key().work.stage is Stage.HUNG and key().work.read_behind is None
