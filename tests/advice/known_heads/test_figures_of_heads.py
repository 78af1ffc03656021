"""The figures of a test sheet, from spectra, against luxpy's for CIE's FL1 to FL12."""

import numpy as np
import pytest
from references import table

from advisor.advice.known_heads.figures import figures_of
from advisor.advice.readings.chromaticity import measure
from advisor.colour.observer.data import published
from advisor.model import HeadReading, Spectrum


def read_as(name):
    own = published(name)
    step = float(np.diff(own.wavelengths)[0])
    spectrum = Spectrum(start=float(own.wavelengths[0]), step=step, values=own.values.tolist())
    reading = HeadReading(spectrum=spectrum, level=100)
    return figures_of(spectrum, measure(reading)), measure(reading)


@pytest.mark.parametrize(
    ("start", "step", "count"), [(380, 10, 41), (400, 20, 16), (400, 1, 301), (360, 5, 95)]
)
def test_a_spectrum_at_any_steps_that_are_accepted_has_figures(start, step, count):
    spectrum = Spectrum(start=start, step=step, values=[1.0] * count)
    found = figures_of(spectrum, measure(HeadReading(spectrum=spectrum, level=100)))
    assert 90 < found.ra < 100
    assert 60 < found.ssi < 100


@pytest.mark.parametrize("row", table("luxpy_rendition.csv").tolist(), ids=lambda row: f"FL{row[0]:.0f}")
def test_luxpy_prints_the_same_figures(row):
    number, ra, r9, rf, rg = row
    found, _ = read_as(f"FL{number:.0f}")
    # luxpy rounds every R_i before it averages them, and sums at 1 nm.
    assert found.ra == pytest.approx(ra, abs=0.4)
    assert found.r9 == pytest.approx(r9, abs=0.7)
    assert (found.rf, found.rg) == pytest.approx((rf, rg), abs=0.15)


def test_ssi_is_against_the_locus_that_it_is_nearer_to():
    found, _ = read_as("FL4")  # 2 940 K: the daylight locus does not reach there
    assert found.ssi_reference == "P2938"
    assert 0 < found.ssi < 100
    assert read_as("D65")[0].ssi_reference.startswith("D65")
    assert read_as("D65")[0].ssi == pytest.approx(100, abs=1.5)
