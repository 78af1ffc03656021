"""What tungsten likely is, where a meter put it a little beside the locus of filaments."""

import pytest

from advisor.advice.readings.filament import likely_duv, likely_of
from advisor.model import HeadReading, Kind, Spectrum


@pytest.mark.parametrize("sign", [1, -1])
def test_a_small_duv_is_mostly_the_meters_and_a_large_one_the_lamps(sign):
    assert likely_duv(0.0) == 0.0
    assert 0.15 * 0.0009 < sign * likely_duv(sign * 0.0009) < 0.35 * 0.0009
    assert sign * likely_duv(sign * 0.0030) > 0.95 * 0.0030
    assert sign * likely_duv(sign * 0.0120) == pytest.approx(0.0120)


def test_a_greener_reading_is_never_taken_as_less_green():
    duvs = [k * 0.0001 for k in range(150)]
    likely = [likely_duv(duv) for duv in duvs]
    assert likely == sorted(likely)


def test_other_kinds_and_spectra_are_as_they_were_read():
    read = HeadReading(cct=2660, duv=-0.0009, level=20)
    assert likely_of(Kind.LED_WHITE, [read]) == [read] and likely_of(Kind.UNKNOWN, [read]) == [read]
    spectrum = Spectrum(start=380, step=5, values=[1.0 + k for k in range(81)])
    own = HeadReading(cct=2660, duv=-0.0009, spectrum=spectrum, level=20)
    assert likely_of(Kind.TUNGSTEN, [own]) == [own]


def test_what_was_read_as_x_and_y_is_held_to_the_locus_too():
    """They are 2 675 K, 0.0013 below the locus (CIE 15:2018 formulae, from memory)."""
    [likely] = likely_of(Kind.TUNGSTEN, [HeadReading(xy=(0.4596, 0.4069), level=20)])
    assert likely.xy is None and -0.0006 < likely.duv < -0.0002
