"""Which two heads match each other least, against the plain distance in CIE 1976 u′, v′."""

from itertools import combinations

import colour
import numpy as np
import pytest

from advisor.advice.overview.pairs import hopeless, not_counted, worst_pair
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


def test_practicals_that_are_about_as_far_apart_come_before_others():
    """Of a bulb and a sky, and a bulb and a sky that are 5 % less far apart, the practicals are named."""
    practical, xy = Role.PRACTICAL, {"Bulb": (0.4420, 0.4060), "Blind": (0.3150, 0.3300)}
    sources = [Source(name=name, reading=Reading(xy=XY[name])) for name in ("A", "D65")]
    sources += [Source(name=name, reading=Reading(xy=at), role=practical) for name, at in xy.items()]
    made = make_plan(sources, Target(cct=5600), Limits(), TABLE)
    pair = worst_pair(made, gelled=False)
    assert {pair.first, pair.second} == {2, 3}
    assert 0.9 * apart("A", "D65") < pair.steps < apart("A", "D65")


def test_practicals_hide_no_pair_that_is_plainly_farther_apart():
    """All are obvious; D50 and E, which are practicals, are less than half as far apart as A and D65."""
    practical = {"role": Role.PRACTICAL}
    pair = worst_pair(plan(D50=practical, E=practical), gelled=False)
    assert names(pair) == {"A", "D65"}
    assert pair.steps == pytest.approx(apart("A", "D65"), rel=1e-3)


def test_where_practicals_match_it_is_the_worst_of_all():
    made = plan(D50={"role": Role.PRACTICAL})
    assert names(worst_pair(made, gelled=False)) == {"A", "D65"}


@pytest.mark.parametrize("aim", [WantedOffset(leave=True), WantedOffset(mired=40)])
def test_what_is_off_on_purpose_counts_for_nothing_and_is_named(aim):
    made = plan(A={"aim": aim})
    assert "A" not in names(worst_pair(made, gelled=False))
    assert not_counted(made) == [0]


@pytest.mark.parametrize("gelled", [False, True])
@pytest.mark.parametrize("street", [{"kind": "sodium"}, {"no_gel": "other"}])
def test_what_gel_cannot_bring_in_counts_as_all_others_do(street, gelled):
    """The lamp of 2 050 K is the warmest white of all, by far, with gels as well as now."""
    sources = [Source(name=name, reading=Reading(xy=xy)) for name, xy in XY.items()]
    street = Source(name="Street", reading=Reading(cct=2050, duv=0.002), **street)
    made = make_plan([*sources, street], Target(cct=5600), Limits(), TABLE)
    assert (hopeless(made), not_counted(made)) == ([4], [])
    pair = worst_pair(made, gelled=gelled)
    assert 4 in (pair.first, pair.second) and pair.seen is Seen.OBVIOUS


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
