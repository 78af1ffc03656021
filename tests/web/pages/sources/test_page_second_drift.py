"""Daylight that drifts twice while gel hangs: what is told of now goes by nothing that was read before."""

import pytest

from advisor.model import Kind, LightSet, Locus, Reading, Source, Target


@pytest.fixture
def window(stores):
    """Keep an invented set: a window in the afternoon, to be 4 300 K."""
    source = Source(name="Bay window", kind=Kind.DAYLIGHT, reading=Reading(cct=5900, duv=0.0047, lux=917))
    white = Target(cct=4300, locus=Locus.PLANCKIAN)
    return stores.sets.create_set(LightSet(name="Kitchen", target=white, sources=[source]))


@pytest.fixture
def hang(window, press):
    return lambda *gels: press("hung", gels)


@pytest.fixture
def meter(window, read_as_shown):
    def send(cct, duv, lux, behind):
        page = read_as_shown(cct=cct, duv=duv, lux=lux, behind=behind)
        told = page.text.partition("In gel")[0]
        return told.replace("\N{NARROW NO-BREAK SPACE}", " ")

    return send


def test_what_is_told_goes_by_the_drift_before_and_the_light_of_now(hang, meter):
    """The two drifts are of some 5 steps each, less than a meter may be off, and more than it scatters."""
    hang("CTO 1/4", "CTO 1/8", "Minus green 1/8")
    meter(4360, -0.0001, 555, "hung")
    said = meter(6330, 0.0043, 766, "bare")
    assert "Take off ⅛ CTO Hang second ¼ CTO" in said
    assert "Another stack is likelier" not in said, "it is the one that is told to be hung"
    hang("CTO 1/2", "Minus green 1/8")
    said = meter(4240, -0.0001, 477, "hung")
    assert "bare, it read 5 900 K before" in said
    assert "Meter it bare" in meter(4510, -0.0007, 323, "hung")
    said = meter(6770, 0.0041, 522, "bare")
    assert "it read 5 900 K before" not in said and "it read 6 330 K before" in said
    assert "Bare it reads 6 770 K" in said


def test_what_a_meter_scatters_is_no_drift(hang, meter):
    hang("CTO 1/4", "CTO 1/8", "Minus green 1/8")
    meter(4360, -0.0001, 555, "hung")
    said = meter(5960, 0.0050, 925, "bare")
    assert "changed" not in said
