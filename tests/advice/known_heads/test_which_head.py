"""Whose test a reading fits; the heads are invented, and distances are CIE TN 001:2014's steps."""

import pytest

from advisor.advice.known_heads.which_head import reads_as
from advisor.model import Reading
from tests.heads import read

ONE = [read(100, cct=3200, duv=0.0), read(25, cct=2800, duv=0.0)]
OTHER = [read(100, cct=3000, duv=0.0), read(25, cct=2600, duv=0.0)]


def taken(cct, level, modifier=""):
    return Reading(cct=cct, duv=0.0, level=level, modifier=modifier)


@pytest.mark.parametrize(
    ("reading", "which"),
    [
        (taken(3005, 100), 1),
        (taken(3195, 100), 0),
        # 312.5 and 357.1 mired at the ends: 334.8 halfway over the logarithm, which is 2 987 K
        (taken(2987, 50), 0),
        (taken(3100, 100), None),  # between the two
        (taken(3200, 100, "dish"), None),  # not tested so
        (taken(3200, 8), None),  # far below what was tested
    ],
)
def test_a_reading_fits_the_head_that_reads_so_there(reading, which):
    assert reads_as(reading, 12.0, [ONE, OTHER]) == which


def test_it_is_another_heads_only_where_it_is_clearly_nearer():
    """3 025 K is about a step off 3 000 K: nothing beside ten steps, and too much beside two."""
    reading = taken(3025, 100)
    assert reads_as(reading, 10.0, [OTHER]) == 0
    assert reads_as(reading, 2.0, [OTHER]) is None
