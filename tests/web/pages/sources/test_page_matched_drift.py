"""A window that drifted behind gel, to which the whole set is then matched: bare, it is on the target."""

import pytest

from advisor.model import Kind, LightSet, Locus, Reading, Source, Target

WARM = Target(cct=4300, locus=Locus.DAYLIGHT)


@pytest.fixture
def window(stores):
    """Keep an invented set: an office window in the afternoon, to be 4 300 K."""
    source = Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=5270, duv=0.0030, lux=2650))
    return stores.sets.create_set(LightSet(name="Office", target=WARM, sources=[source]))


@pytest.fixture
def hang(window, press):
    return lambda *gels: press("hung", gels)


@pytest.fixture
def meter(window, read_as_shown):
    return lambda cct, duv, lux: read_as_shown(cct=cct, duv=duv, lux=lux, behind="hung")


@pytest.fixture
def matched(window, stores, get):
    """Match the set to its window, and return what its page tells to do."""

    def told():
        stores.sets.update_set(window, target=Target(source="Window"))
        said = get("/sources/1").text.replace("\N{NARROW NO-BREAK SPACE}", " ")
        stores.sets.update_set(window, target=WARM)
        return said.partition("Another gel hung")[0]

    return told


def test_the_window_that_all_is_matched_to_is_on_the_target_bare(hang, meter, matched):
    """Two drifts behind gel. The second was read as right at once, by which light it was read before."""
    hang("CTO 1/4")
    meter(4420, 0.0028, 2210)
    meter(4810, 0.0027, 2230)
    assert "Take off Window Take off ¼ CTO" in matched()
    hang("CTO 1/4", "CTO 1/8")
    meter(4380, 0.0028, 1900)
    meter(4770, 0.0028, 1860)
    hang("CTO 1/4", "CTO 1/4")
    meter(4350, 0.0033, 1730)
    said = matched()
    assert "Take off Window Take off ¼ CTO ¼ CTO" in said
    assert "Hang" not in said.partition("Hung")[0]
    assert "Then ○ matches, over 9 in 10 · no loss" in said
