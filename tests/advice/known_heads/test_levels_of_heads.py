"""The colour of a tested head between its readings."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.known_heads.levels import line_through
from advisor.model import Refused
from tests.heads import read

THREE = [read(100, cct=5800, duv=-0.001), read(50, cct=5700, duv=0.0), read(10, cct=5600, duv=0.003)]


def test_what_was_read_is_said_as_it_was_read():
    line = line_through(THREE)
    for reading in THREE:
        found = line.at(reading.level)
        assert not found.about
        assert found.white.cct == pytest.approx(reading.cct, abs=0.01)
        assert found.white.duv == pytest.approx(reading.duv, abs=1e-9)


def test_between_readings_it_is_about():
    found = line_through(THREE).at(30)
    assert found.about
    assert 5600 < found.white.cct < 5700
    assert 0 < found.white.duv < 0.003


@given(
    ccts=st.lists(st.integers(2500, 9000), min_size=3, max_size=6),
    share=st.floats(0.0, 1.0),
)
def test_it_never_leaves_the_two_readings_beside_it(ccts, share):
    levels = np.geomspace(10, 100, len(ccts))
    line = line_through([read(level, cct=cct, duv=0) for level, cct in zip(levels, ccts, strict=True)])
    at = float(10 * 10**share)
    k = min(int(np.searchsorted(levels, at, side="right")), len(ccts) - 1)
    low, high = sorted(ccts[k - 1 : k + 1])
    assert low - 1e-6 <= line.at(at).white.cct <= high + 1e-6


@given(ccts=st.lists(st.integers(2500, 9000), min_size=3, max_size=6, unique=True))
def test_it_is_monotone_where_the_readings_are(ccts):
    levels = np.geomspace(10, 100, len(ccts))
    line = line_through([read(k, cct=cct, duv=0) for k, cct in zip(levels, sorted(ccts), strict=True)])
    along = [line.at(float(k)).white.cct for k in np.geomspace(10, 100, 80)]
    assert np.all(np.diff(along) >= -1e-6)


def test_three_readings_on_a_straight_line_stay_on_it():
    mired = {10: 180.0, 31.6227766: 175.0, 100: 170.0}
    line = line_through([read(k, cct=1e6 / m, duv=0) for k, m in mired.items()])
    assert 1e6 / line.at(56.2341325).white.cct == pytest.approx(172.5, abs=1e-4)


def test_beyond_the_lowest_reading_the_nearest_is_said_down_to_half_of_it():
    line = line_through(THREE)
    assert line.at(5).about
    assert line.at(5).white.cct == pytest.approx(5600)


def test_nothing_is_guessed_below_half_of_the_lowest_level():
    with pytest.raises(Refused) as no:
        line_through(THREE).at(4.9)
    [problem] = no.value.problems
    assert problem.says == "nothing was read near 4.9 %: the lowest level read is 10 %"
    assert problem.allowed == "5 to 100 %, or a reading at 4.9 %"


def test_the_last_reading_of_a_level_counts():
    line = line_through([read(100, cct=5000), read(100, cct=5600)])
    assert line.at(100).white.cct == pytest.approx(5600)
