"""Gels as transmittances: what the label says holds exactly on the reference."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from references import reference

from advisor.colour.cct import cct_duv_of_uv
from advisor.colour.gels import Impossible, reference_cct, transmittances
from advisor.colour.grid import WAVELENGTHS
from advisor.colour.loci import planckian
from advisor.colour.predict import stops, through

MIRED_ERROR = 1e-4
"""How exactly a nominal shift is met. [MK⁻¹]"""
CC_ERROR = 1e-4
"""[CC]"""

FULL = 1e6 / 3200 - 1e6 / 5600
FRACTIONS = np.array([1 / 8, 1 / 4, 1 / 2, 3 / 4, 1.0])
GREENS = np.array([3.5, 7.5, 15.0, 22.5, 30.0])
"""1/8 to full green. [CC] Common practice, no source."""
NONE = np.zeros(5)
TABLE_MIRED = np.concatenate([FULL * FRACTIONS, -FULL * FRACTIONS, NONE, NONE])
TABLE_CC = np.concatenate([NONE, NONE, GREENS, -GREENS])
MIXED_MIRED = np.array([67.0, 67.0, -67.0, -67.0, 134.0, -20.0, 8.0, -134.0])
MIXED_CC = np.array([15.0, -15.0, 7.5, -7.5, 30.0, 22.5, -3.5, -30.0])


def made(mired, cc, lost=None):
    mired, cc = np.atleast_1d(np.asarray(mired, float)), np.atleast_1d(np.asarray(cc, float))
    return transmittances(mired, cc, np.full(len(mired), np.nan) if lost is None else np.asarray(lost, float))


def on_reference(mired, passed):
    """Shift [MK⁻¹, CC] and loss [stops] of one transmittance on its reference."""
    kelvin = reference_cct(mired)
    light = through(planckian(kelvin)[None], passed[None])
    cct, duv = cct_duv_of_uv(light.uv[0, 0])
    return 1e6 / cct - 1e6 / kelvin, 1000 * duv, float(stops(light.passed[0, 0]))


@pytest.mark.parametrize(("mired", "cc"), [(TABLE_MIRED, TABLE_CC), (MIXED_MIRED, MIXED_CC)])
def test_every_row_does_what_its_label_says(mired, cc):
    shifts = np.array([on_reference(m, t)[:2] for m, t in zip(mired, made(mired, cc), strict=True)])
    assert np.abs(shifts[:, 0] - mired).max() < MIRED_ERROR
    assert np.abs(shifts[:, 1] - cc).max() < CC_ERROR


@given(st.floats(-200.0, 400.0), st.floats(-40.0, 40.0))
@settings(deadline=None)
def test_any_label_that_can_be_made_is_met_by_a_filter(mired, cc):
    try:
        [passed] = made(mired, cc)
    except Impossible:
        assume(False)
    assert passed.min() > 0 and passed.max() <= 0.92 + 1e-12
    got = on_reference(mired, passed)
    # The reference on the grid, held beyond 380 and 780 nm, is itself 0.001 MK⁻¹ off its name.
    assert got[0] == pytest.approx(mired, abs=5e-3)
    assert got[1] == pytest.approx(cc, abs=1e-3)


def test_film_adds_no_light():
    passed = np.concatenate([made(TABLE_MIRED, TABLE_CC), made(MIXED_MIRED, MIXED_CC)])
    assert passed.min() > 0
    assert passed.max() <= 0.92 + 1e-12


def test_the_stronger_of_a_family_loses_more_light():
    lost = [on_reference(m, t)[2] for m, t in zip(TABLE_MIRED, made(TABLE_MIRED, TABLE_CC), strict=True)]
    for family in np.reshape(lost, (4, 5)):
        assert (np.diff(family) > 0).all()


def test_full_cto_costs_what_crews_reckon_with():
    fact = reference("practice-cost-full-cto")
    lost = on_reference(FULL, made(FULL, 0)[0])[2]
    assert lost == pytest.approx(0.714, abs=0.002)
    assert lost == pytest.approx(fact["value"], abs=fact["tolerance"])


def test_full_ctb_costs_what_crews_reckon_with():
    low, high = reference("practice-cost-full-ctb")["value"]
    lost = on_reference(-FULL, made(-FULL, 0)[0])[2]
    assert lost == pytest.approx(1.516, abs=0.002)
    assert low <= lost <= high


@pytest.mark.parametrize("cc", [3.5, -3.5])
def test_an_eighth_of_green_costs_next_to_nothing(cc):
    assert on_reference(0.0, made(0, cc)[0])[2] < reference("practice-cost-eighth-green")["value"]


@pytest.mark.parametrize("cc", [3.5, 7.5, 15.0, 30.0])
@pytest.mark.parametrize(("bands", "way"), [([(540, 40)], -1), ([(450, 35), (640, 40)], 1)])
def test_cc_is_near_the_density_of_a_filter_of_smooth_dyes(cc, bands, way):
    """1 000 × Duv is our definition; a CC filter is named by 100 times the density of its dye's peak."""
    dye = sum(np.exp(-0.5 * ((WAVELENGTHS - middle) / width) ** 2) for middle, width in bands)
    light = through(planckian(5600.0)[None], 10.0 ** (-cc / 100 * dye)[None])
    _, duv = cct_duv_of_uv(light.uv[0, 0])
    assert 1000 * duv == pytest.approx(way * cc, rel=0.25)


def test_references():
    assert [reference_cct(m) for m in (-134.0, -0.1, 0.0, 134.0)] == [
        3200,
        3200,
        5600,
        5600,
    ]


def test_stops_where_given_are_met_on_the_reference_with_the_shift_unchanged():
    mired, cc = [134.0, -67.0, 0.0, 67.0], [0.0, 0.0, 15.0, -7.5]
    for m, c, t in zip(mired, cc, made(mired, cc, [1.0, 2.5, 0.5, 3.0]), strict=True):
        shift, green, _ = on_reference(m, t)
        assert shift == pytest.approx(m, abs=MIRED_ERROR) and green == pytest.approx(c, abs=CC_ERROR)
    lost = [on_reference(m, t)[2] for m, t in zip(mired, made(mired, cc, [1.0, 2.5, 0.5, 3.0]), strict=True)]
    assert lost == pytest.approx([1.0, 2.5, 0.5, 3.0])


def test_neutral_density_is_flat():
    density = reference("density-0.3")["value"]
    [passed] = made(0.0, 0.0, [density["stops"]])
    assert passed == pytest.approx(np.full(81, 10 ** -density["density"]), abs=1e-5)
    assert stops(np.array(10 ** -density["density"])) == pytest.approx(density["stops"], abs=1e-5)


def test_no_gels_are_no_transmittances():
    assert made([], []).shape == (0, 81)


def test_one_gel_does_not_depend_on_the_others():
    together = made(TABLE_MIRED, TABLE_CC)
    for i in range(len(TABLE_MIRED)):
        np.testing.assert_allclose(made(TABLE_MIRED[i], TABLE_CC[i])[0], together[i], atol=1e-9)


@pytest.mark.parametrize(
    ("mired", "cc", "lost", "index", "reason"),
    [
        ([67.0, 134.0, 0.0], [0, 0, 0], [np.nan, 0.2, 0.3], 1, "0.2 stops is too little"),
        ([134.0, -300.0], [0, 0], [np.nan, np.nan], 1, "out of 1 000 to 25 000 K"),
        ([134.0, -312.5], [0, 0], [np.nan, np.nan], 1, "out of 1 000 to 25 000 K"),
        ([134.0, -500.0], [0, 0], [np.nan, np.nan], 1, "out of 1 000 to 25 000 K"),
        ([0.0, 0.0], [15.0, 100.0], [np.nan, np.nan], 1, "CC from white"),
        ([67.0, 67.0], [15.0, -60.0], [np.nan, np.nan], 1, "CC from white"),
    ],
)
def test_the_impossible_is_named_by_its_row(mired, cc, lost, index, reason):
    with pytest.raises(Impossible, match=reason) as no:
        made(mired, cc, lost)
    assert no.value.index == index
    assert no.value.reason == str(no.value)


def test_the_least_stops_that_it_names_are_enough():
    with pytest.raises(Impossible) as no:
        made(FULL, 0, [0.2])
    least = float(no.value.reason.split("at least ")[1].split()[0])
    assert made(FULL, 0, [least + 0.01]).max() <= 1.0
    with pytest.raises(Impossible):
        made(FULL, 0, [least - 0.01])
