"""The importer's short formulae against the advisor's own colour science."""

import numpy as np
import pytest

from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.imports.grids.loci import apart, uv_of_cct


@pytest.mark.parametrize("cct", [1500, 2000, 2700, 3200, 4000, 5600, 6500, 9000, 14000])
@pytest.mark.parametrize("duv", [-0.02, -0.003, 0, 0.005, 0.02])
def test_a_cct_and_a_duv_are_where_colour_science_puts_them(cct, duv):
    expected = uv_of_cct_duv(np.array([float(cct)]), np.array([float(duv)]))[0]
    assert uv_of_cct(cct, duv) == pytest.approx(tuple(expected), abs=0.002)


def test_the_white_of_d65_is_its_cct():
    # x, y of D65: CIE 15:2018, table 3.1; its CCT and Duv: Ohno (2014) gives 6 504 K, 0.0032.
    assert apart(6504, 0.0032, 0.3127, 0.3290) < 0.001
    assert apart(3200, 0.0, 0.3127, 0.3290) > 0.05
