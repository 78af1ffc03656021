"""What daylight is predicted to read behind gel: of the light that was read last, or whose it was is said.

An invented north window that keeps its colour within what a meter may be off, and loses half of its light.
"""

import re

import pytest

from advisor.model import Kind, LightSet, Locus, Reading, Source, Target


@pytest.fixture
def meter(stores, press, read_as_shown):
    """Hang ¼ CTO and ⅛ CTO on the window, and return how it is metered; the page comes in plain spaces."""
    source = Source(name="North window", kind=Kind.DAYLIGHT, reading=Reading(cct=6100, duv=0.0031, lux=880))
    white = Target(cct=4600, locus=Locus.DAYLIGHT)
    stores.sets.create_set(LightSet(name="Studio", target=white, sources=[source]))
    press("hung", ["CTO 1/4", "CTO 1/8"])

    def send(cct, duv, lux, behind):
        page = read_as_shown(cct=cct, duv=duv, lux=lux, behind=behind)
        return page.text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")

    return send


def predicted(said):
    """Return what is told as predicted: whose, and the illuminance [lx]."""
    [(whose, lux)] = re.findall(r"Predicted([^:]*): [^·]*· ([\d ]+) lx", said)
    return whose, int(lux.replace(" ", ""))


def test_it_goes_by_the_light_that_was_read_bare_last(meter):
    """Of 430 lx bare nothing makes more behind gel. Hung at 880 lx, some 610 were to be."""
    meter(6250, 0.0030, 430, "bare")
    said = meter(4640, 0.0013, 290, "hung")
    whose, lux = predicted(said)
    assert whose == "" and 270 <= lux <= 330
    assert "darker" not in said.partition("New reading")[0]


def test_read_bare_only_afterwards_it_says_of_which_light_it_was(meter):
    whose, lux = predicted(meter(4580, 0.0014, 600, "hung"))
    assert whose == "" and 560 <= lux <= 660
    said = meter(6250, 0.0030, 430, "bare")
    assert predicted(said) == (" from 6 100 K, 880 lx", lux)
    assert "Bare it reads 6 250 K, Duv +0.0030, 430 lx" in said
    whose, lux = predicted(meter(4640, 0.0013, 290, "hung"))
    assert whose == "" and 270 <= lux <= 330


def test_what_its_gel_loses_is_told_of_one_light(meter):
    """At 600 of 880 lx it loses half a stop; 430 lx of a later sky say nothing of that."""
    assert "−0.6 stop" in meter(4580, 0.0014, 600, "hung")
    said = meter(6250, 0.0030, 430, "bare").partition("New reading")[0]
    assert "−0.6 stop" in said and "no loss" not in said


def test_who_read_it_bare_just_now_is_not_asked_to_read_it_bare_again(meter):
    meter(4580, 0.0014, 600, "hung")
    meter(6250, 0.0030, 430, "bare")
    said = meter(4900, 0.0013, 290, "hung").partition("New reading")[0]
    assert "The daylight drifted." in said
    assert "read it bare" not in said and "Meter it bare" not in said


def test_read_bare_before_it_was_hung_it_is_asked_for(meter):
    assert "To know, read it bare again." in meter(5300, 0.0004, 600, "hung")
