"""What tells a value from others: the same for the same values, of any length, and gone with the object."""

import gc

from advisor.model import Reading, Source
from advisor.web.plans.texts import _TEXTS, text_of


def source(name, count=0):
    readings = [Reading(cct=3000 + k, duv=0.001) for k in range(count)]
    return Source(name=name, kind="daylight", reading=Reading(cct=5600, duv=0.0), readings=readings)


def test_two_are_told_apart_by_any_of_their_readings_and_the_same_are_not():
    for count in (0, 900):
        assert text_of(source("A", count)) == text_of(source("A", count))
        assert text_of(source("A", count)) != text_of(source("B", count))
    assert text_of(source("A", 900)) != text_of(source("A", 901))
    assert len(text_of(source("A", 900))) < 100


def test_it_is_written_once_for_an_object_and_goes_with_it():
    gc.collect()
    before, one = len(_TEXTS), source("A")
    assert text_of(one) is text_of(one) and len(_TEXTS) == before + 1
    del one
    gc.collect()
    assert len(_TEXTS) == before
