"""A light read again without its spectrum keeps the shape that was read. Every light is invented."""

import numpy as np
import pytest

from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.shape import ensemble_of, kept_shape
from advisor.colour.observer.data import published
from advisor.colour.observer.grid import to_grid
from advisor.model import Kind, Reading, Setting, Source, Spectrum

WAVELENGTHS, VALUES = published("FL3.15")
SEEN = WAVELENGTHS >= 380
LINES = Spectrum(start=380, step=5, values=VALUES[SEEN].tolist())
WHITE = measure(Reading(spectrum=LINES))


def again(off=0.0, kind=Kind.FLUORESCENT_TRIBAND, was=None, **now):
    """A source that was read as a spectrum, and since by hand, `off` mired warmer."""
    newest = Reading(cct=1e6 / (1e6 / WHITE.cct + off), duv=WHITE.duv, lux=418.0, **now)
    return Source(name="Tube", kind=kind, reading=newest, readings=[was or Reading(spectrum=LINES)])


@pytest.mark.parametrize("kind", [Kind.FLUORESCENT_TRIBAND, Kind.DAYLIGHT, Kind.LED_MIX, Kind.UNKNOWN])
def test_the_same_light_keeps_its_spectrum_when_its_lux_is_read(kind):
    source = again(1.0, kind)
    [lit] = ensemble_of(source, measure(source.reading)).spectra
    own = to_grid(WAVELENGTHS[SEEN], VALUES[SEEN])
    assert np.corrcoef(lit, own)[0, 1] > 0.999


def test_it_is_bent_to_the_newest_reading():
    source = again(5.0)
    white = measure(source.reading)
    lit = ensemble_of(source, white)
    assert lit.measured
    there = measure(Reading(spectrum=Spectrum(start=380.0, step=5.0, values=lit.spectra[0].tolist())))
    assert there.cct == pytest.approx(white.cct, rel=1e-3)


def test_daylight_that_moved_is_another_light_and_a_lamp_that_moved_is_not():
    assert kept_shape(again(6.0, Kind.DAYLIGHT)) is None
    assert kept_shape(again(6.0)) == LINES


def test_a_light_that_is_obviously_another_one_keeps_nothing():
    assert kept_shape(again(60.0)) is None


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ({"level": 100.0}, {"level": 40.0}),
        ({"modifier": "bounce"}, {}),
        ({"dial": Setting(cct=4000.0)}, {"dial": Setting(cct=5600.0)}),
        ({"gels": ["full CTB"]}, {}),
    ],
    ids=["level", "modifier", "dials", "gels"],
)
def test_another_set_up_keeps_nothing(was, now):
    assert kept_shape(again(was=Reading(spectrum=LINES, **was), **now)) is None


def test_a_spectrum_of_its_own_goes_first():
    source = Source(name="Tube", reading=Reading(spectrum=LINES), readings=[Reading(spectrum=LINES)])
    assert kept_shape(source) is None
