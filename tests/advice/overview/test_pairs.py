"""Which two heads match each other least, against the plain distance in CIE 1976 u′, v′."""

from itertools import combinations

import colour
import numpy as np
import pytest

from advisor.advice.overview.pairs import hopeless, worst_pair
from advisor.advice.overview.reference import against
from advisor.advice.plan.make import make_plan
from advisor.model import Limits, Reading, Role, Seen, Source, Target, WantedOffset
from tests.advice.rows import neutral, nominal

TABLE = nominal() + neutral()
XY = {"A": (0.4476, 0.4074), "D50": (0.3457, 0.3585), "D65": (0.3127, 0.3290), "E": (1 / 3, 1 / 3)}
"""CIE 15:2018, tables T.3 and 6: chromaticities of illuminants, rounded to four places."""


def plan(**more):
    sources = [Source(name=name, reading=Reading(xy=xy), **more.get(name, {})) for name, xy in XY.items()]
    return make_plan(sources, Target(cct=5600), Limits(), TABLE)


def apart(one, other):
    """Return the distance of two whites in steps of 0.0011 Δu′v′ (CIE TN 001:2014), by the library."""
    uv = [colour.xy_to_Luv_uv(np.array(XY[name])) for name in (one, other)]
    return float(np.hypot(*(uv[0] - uv[1]))) / 0.0011


def names(pair):
    return {list(XY)[pair.first], list(XY)[pair.second]}


def test_of_all_pairs_it_is_the_one_farthest_apart():
    pair = worst_pair(plan(), gelled=False)
    worst = max(combinations(XY, 2), key=lambda two: apart(*two))
    assert names(pair) == set(worst) == {"A", "D65"}
    assert pair.steps == pytest.approx(apart(*worst), rel=1e-3)
    assert (pair.seen, pair.match) == (Seen.OBVIOUS, False)


def test_the_one_nearer_to_the_target_comes_first_and_the_other_is_told():
    pair = worst_pair(plan(), gelled=False)
    assert list(XY)[pair.first] == "D65"
    assert pair.mired > 0, "illuminant A is warmer"


def test_practicals_that_do_not_match_come_before_others():
    practical = {"role": Role.PRACTICAL}
    assert names(worst_pair(plan(D50=practical, E=practical), gelled=False)) == {"D50", "E"}


def test_practicals_that_are_a_bit_off_hide_no_pair_that_is_plainly_so():
    """Two practicals near D50 are some 5 steps apart, which shows; illuminants A and D65 are obvious."""
    near = XY | {"Shade": (0.3457, 0.3710)}
    sources = [
        Source(
            name=name, reading=Reading(xy=xy), role=Role.PRACTICAL if name in ("D50", "Shade") else Role.OTHER
        )
        for name, xy in near.items()
    ]
    made = make_plan(sources, Target(cct=5600), Limits(), TABLE)
    pair = worst_pair(made, gelled=False)
    assert names(pair) == {"A", "D65"} and pair.seen is Seen.OBVIOUS
    two = make_plan([sources[1], sources[4]], Target(cct=5600), Limits(), TABLE)
    assert worst_pair(two, gelled=False).seen is Seen.SHOWS


def test_where_practicals_match_it_is_the_worst_of_all():
    made = plan(D50={"role": Role.PRACTICAL})
    assert names(worst_pair(made, gelled=False)) == {"A", "D65"}


@pytest.mark.parametrize("aim", [WantedOffset(leave=True), WantedOffset(mired=40)])
def test_what_is_off_on_purpose_counts_for_nothing(aim):
    assert "A" not in names(worst_pair(plan(A={"aim": aim}), gelled=False))


@pytest.mark.parametrize("gelled", [False, True])
def test_what_gel_cannot_bring_in_is_in_no_pair_as_long_as_two_others_are(gelled):
    sources = [Source(name=name, reading=Reading(xy=xy)) for name, xy in XY.items()]
    street = Source(name="Street", kind="sodium", reading=Reading(cct=2050, duv=0.002))
    made = make_plan([*sources, street], Target(cct=5600), Limits(), TABLE)
    assert hopeless(made) == [4]
    pair = worst_pair(made, gelled=gelled)
    assert 4 not in (pair.first, pair.second)
    two = make_plan([sources[0], street], Target(cct=5600), Limits(), TABLE)
    assert {worst_pair(two, gelled=gelled).first, worst_pair(two, gelled=gelled).second} == {0, 1}


def test_with_gels_all_are_nearer_than_now():
    now, then = (worst_pair(plan(), gelled=hung) for hung in (False, True))
    assert then.steps < now.steps / 3


def test_fewer_than_two_are_no_pair():
    one = make_plan([Source(name="A", reading=Reading(xy=XY["A"]))], Target(cct=5600), Limits(), TABLE)
    assert worst_pair(one, gelled=False) is None


def test_two_of_one_white_match():
    twins = [Source(name=name, reading=Reading(xy=XY["D50"])) for name in ("One", "Other")]
    pair = worst_pair(make_plan(twins, Target(cct=5600), Limits(), TABLE), gelled=False)
    assert (pair.first, pair.second, pair.steps, pair.match) == (0, 1, 0.0, True)


def test_against_a_reference_each_is_as_far_as_the_plain_distance():
    rows = against(plan(), 2)
    assert [list(XY)[row.i] for row in rows] == sorted(
        ("A", "D50", "E"), key=lambda name: -apart(name, "D65")
    )
    for row in rows:
        assert row.steps == pytest.approx(apart(list(XY)[row.i], "D65"), rel=1e-3)
