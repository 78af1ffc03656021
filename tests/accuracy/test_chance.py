"""How the chance that was stated is held against what came of it: the tenths, and their error by lamp.

Published source: the standard error of a mean of independent values, and of a ratio of sums over clusters, as
in Cochran, W. G. (1977), Sampling Techniques, 3rd ed., sections 2.6 and 9.3 to 9.5 (from memory).
"""

import numpy as np
import pytest

from tests.accuracy.chance import TOLERANCE, Chances, standard_error, tenths
from tests.accuracy.summary import chance_table

WITHIN, BEYOND = TOLERANCE - 0.1, TOLERANCE + 0.1


def chances(*rows):
    """Stacks as (stated, off, lamp), each first in its list."""
    stated, off, lamp = (np.array(column) for column in zip(*rows, strict=True))
    return Chances(stated.astype(float), off.astype(float), np.ones(len(rows), bool), lamp.astype(np.intp))


def test_values_each_by_itself_have_the_error_of_a_plain_mean():
    values = np.random.default_rng(3).standard_normal(400)
    plain = values.std(ddof=1) / np.sqrt(len(values))
    assert standard_error(values, np.arange(400)) == pytest.approx(plain, rel=0.05)


def test_values_of_clusters_have_the_error_of_a_ratio_of_their_sums():
    rng = np.random.default_rng(4)
    sizes = rng.integers(2, 30, 80)
    clusters = np.repeat(np.arange(80), sizes)
    values = rng.standard_normal(80)[clusters] + rng.standard_normal(len(clusters))
    rest = np.bincount(clusters, values - values.mean())
    ratio = np.sqrt(80 / 79 * (rest**2).sum()) / sizes.sum()
    assert standard_error(values, clusters) == pytest.approx(ratio, rel=0.1)


def test_the_same_lamp_many_times_over_tells_no_more():
    once = np.random.default_rng(5).standard_normal(50)
    lamps = np.arange(50)
    assert standard_error(np.tile(once, 9), np.tile(lamps, 9)) == pytest.approx(standard_error(once, lamps))


def test_one_lamp_has_no_error():
    assert np.isnan(standard_error(np.array([0.1, 0.4]), np.array([7, 7])))


def test_a_tenth_counts_its_stacks_its_lamps_and_what_came():
    found = chances(
        (0.61, WITHIN, 1), (0.63, BEYOND, 1), (0.69, BEYOND, 3), (0.90, WITHIN, 3), (1.0, WITHIN, 5)
    )
    there = tenths(found, found.odd)
    assert [(one.count, one.lamps) for one in there] == [(0, 0)] * 6 + [(3, 2), (0, 0), (0, 0), (2, 2)]
    assert there[6].stated == pytest.approx((0.61 + 0.63 + 0.69) / 3)
    assert there[6].within == pytest.approx(1 / 3)
    assert there[6].error > 0.0


def test_the_table_shows_the_error_by_lamp_beside_each_share():
    found = chances((0.61, WITHIN, 1), (0.63, BEYOND, 1), (0.69, BEYOND, 3), (0.65, WITHIN, 2))
    [row] = [row for row in chance_table(found).rows if row[0] == "0.6 to 0.7"]
    error = tenths(found, found.odd)[6].error
    assert row[1:] == ("0.643", f"0.333 ± {error:.3f}", "3 of 2", f"0.333 ± {error:.3f}", "1.000")
