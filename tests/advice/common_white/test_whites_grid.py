"""The whites that are compared."""

import numpy as np
import pytest

from advisor.advice.common_white.grid import grid
from advisor.advice.readings.chromaticity import WhitePoint
from advisor.advice.readings.target import aimed, white_of
from advisor.model import (
    Locus,
    Refused,
    WantedOffset,
)


class TestGrid:
    def test_a_white_is_what_its_target_means(self):
        whites = grid()
        assert 0.95 < whites.real.mean() < 1.0
        for i in [*range(0, len(whites.cct), 97), *np.flatnonzero(~whites.real)]:
            if not whites.real[i]:
                with pytest.raises(Refused, match="no light can have"):
                    white_of(whites.target(i), [])
                continue
            meant = white_of(whites.target(i), [])
            assert np.abs(meant.uv - whites.uv[i]).max() < 1e-9, whites.target(i)
            assert abs(1e6 / meant.cct - whites.mired[i]) < 1e-3
            assert abs(meant.duv - whites.duv[i]) < 1e-7

    def test_it_is_as_fine_as_it_says_on_both_loci(self):
        whites = grid()
        for locus, warmest in ((Locus.PLANCKIAN, 2500.0), (Locus.DAYLIGHT, 4000.0)):
            kelvins = np.unique(whites.cct[np.array(whites.loci) == locus])
            assert (kelvins.min(), kelvins.max()) == (warmest, 10000.0)
            assert np.abs(np.diff(1e6 / kelvins)).max() < 7  # each 5 MK⁻¹, moved to the nearest 10 or 50 K
        assert set(whites.tint) == set(range(-10, 31))

    @pytest.mark.parametrize(
        "aim", [WantedOffset(), WantedOffset(mired=-40.0, duv=0.004), WantedOffset(mired=-120.0)]
    )
    def test_what_a_source_is_wanted_at_goes_with_the_white(self, aim):
        whites = grid()
        wanted = whites.wanted(aim)
        for i in range(0, len(whites.cct), 131):
            white = WhitePoint(whites.uv[i], 1e6 / whites.mired[i], whites.duv[i])
            try:
                assert not whites.real[i] or np.abs(aimed(white, aim).uv - wanted[i]).max() < 1e-9
            except Refused:
                assert np.isnan(wanted[i]).all()
        assert np.isnan(wanted[whites.real]).any() == (aim.mired == -120.0)
        assert np.isnan(wanted[~whites.real]).all()
