"""Which chromaticities are real."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.colour.observer.data import observer
from advisor.colour.observer.real_light import is_real


@pytest.mark.parametrize("xy", [(1 / 3, 1 / 3), (0.4476, 0.4074), (0.08, 0.8), (0.7, 0.29), (0.17, 0.01)])
def test_real_colours(xy):
    assert is_real(np.array(xy))


@pytest.mark.parametrize("xy", [(0.0, 0.0), (1.0, 0.0), (0.5, 0.51), (0.0, 1.0), (0.45, 0.05), (0.2, 0.85)])
def test_colours_of_no_light(xy):
    assert not is_real(np.array(xy))


def test_spectral_colours_are_on_the_edge():
    cmfs = observer()
    seen = (cmfs.wavelengths >= 420) & (cmfs.wavelengths <= 680)
    xy = cmfs.values[seen, :2] / cmfs.values[seen].sum(axis=1, keepdims=True)
    inside, outside = xy + 0.01 * (1 / 3 - xy), xy - 0.01 * (1 / 3 - xy)
    assert all(map(is_real, inside))
    assert not any(map(is_real, outside))


def test_many_are_told_at_once():
    xy = np.array([[[0.33, 0.33], [0.1, 0.9]], [[np.nan, 0.3], [0.6, 0.35]]])
    assert is_real(xy).tolist() == [[True, False], [False, True]]
    assert is_real(np.zeros((0, 2))).shape == (0,)


@given(st.dictionaries(st.integers(400, 700), st.floats(0.01, 1.0), min_size=1, max_size=8))
def test_any_mixture_of_wavelengths_is_real(powers):
    cmfs = observer()
    xyz = np.array([powers.get(int(nm), 0.0) for nm in cmfs.wavelengths]) @ cmfs.values
    assert is_real(xyz[:2] / xyz.sum())
