"""Gels as transmittances: what the label says holds exactly on the reference."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from references import reference

from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, stops, through
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.colour.observer.loci import planckian
from advisor.colour.spectra.gels import (
    Impossible,
    alternatives,
    least_stops,
    loss_on_reference,
    reference_of,
    transmittances,
)
from tests.thorough import cases

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


def made(mired, cc, lost=None, reference=None):
    mired, cc = np.atleast_1d(np.asarray(mired, float)), np.atleast_1d(np.asarray(cc, float))
    nothing = np.full(len(mired), np.nan)
    said = [nothing if v is None else np.asarray(v, float) for v in (lost, reference)]
    return transmittances(mired, cc, *said)


def usual(mired, cc=0.0):
    return float(reference_of(np.array([mired]), np.array([cc]))[0])


def on_reference(mired, passed, cc=0.0, kelvin=None):
    """Shift [MK⁻¹, CC] and loss [stops] of one transmittance on its reference."""
    kelvin = kelvin or usual(mired, cc)
    light = through(planckian(kelvin)[None], passed[None])
    cct, duv = cct_duv_of_uv(light.uv[0, 0])
    return 1e6 / cct - 1e6 / kelvin, 1000 * duv, float(stops(light.passed[0, 0]))


@pytest.mark.parametrize(("mired", "cc"), [(TABLE_MIRED, TABLE_CC), (MIXED_MIRED, MIXED_CC)])
def test_every_row_does_what_its_label_says(mired, cc):
    shifts = np.array([on_reference(m, t, c)[:2] for m, c, t in zip(mired, cc, made(mired, cc), strict=True)])
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
    got = on_reference(mired, passed, cc)
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


@pytest.mark.parametrize(
    ("mired", "cc", "kelvin"),
    [
        (-134, 0, 3200),
        (-20, 20, 3200),
        (-20, -20.1, 5600),
        (-5, 0, 3200),
        (-4.9, 0, 5600),
        (-1, 27, 5600),
        (0, 0, 5600),
        (134, 0, 5600),
        (30, -40, 5600),
    ],
)
def test_a_row_that_mainly_cools_holds_on_tungsten_and_any_other_on_daylight(mired, cc, kelvin):
    assert usual(mired, cc) == kelvin


def test_a_reference_that_is_said_counts():
    mired, cc, said = np.array([-134.0, 0.0]), np.zeros(2), np.array([2900.0, np.nan])
    assert reference_of(mired, cc, said).tolist() == [2900.0, 5600.0]


def test_stops_where_given_are_met_on_the_reference_with_the_shift_unchanged():
    mired, cc = [134.0, -67.0, 0.0, 67.0], [0.0, 0.0, 15.0, -7.5]
    for m, c, t in zip(mired, cc, made(mired, cc, [1.0, 2.5, 0.5, 3.0]), strict=True):
        shift, green, _ = on_reference(m, t, c)
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
        (
            [67.0, 134.0, 0.0],
            [0, 0, 0],
            [np.nan, 0.2, 0.3],
            1,
            r"0.2 stops is too little: no filter passes more than 83 % of 5.600 K light and makes this shift",
        ),
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


ANY_MIRED, ANY_CC = st.floats(-270.0, 600.0), st.floats(-50.0, 50.0)
ANY_REFERENCE = st.none() | st.floats(1000.0, 25000.0)
ANY_STOPS = st.none() | st.floats(0.0, 10.0)


@given(ANY_MIRED, ANY_CC, ANY_STOPS, ANY_REFERENCE)
@settings(deadline=None, max_examples=cases(300))
def test_whatever_row_is_accepted_does_on_its_reference_what_it_says(mired, cc, lost, kelvin):
    """To 0.1 % of the CCT, 1e-5 of Duv, and a thousandth of a stop; and no filter adds light."""
    said = [[np.nan if v is None else v] for v in (lost, kelvin)]
    try:
        [passed] = made(mired, cc, *said)
    except Impossible:
        assume(False)
    assert passed.min() >= 0.0 and passed.max() <= 1.0
    on = kelvin or usual(mired, cc)
    light = through(planckian(on)[None], passed[None])
    cct, duv = cct_duv_of_uv(light.uv[0, 0])
    assert cct == pytest.approx(1e6 / (1e6 / on + mired), rel=1e-3)
    assert duv == pytest.approx(cc / 1000.0, abs=1e-5)
    if lost is not None:
        assert float(stops(light.passed[0, 0])) == pytest.approx(lost, abs=1e-3)


def behind(passed):
    """Return what filters (n, 81) make of three unlike sources: Planckian, a white LED's shape, two lines."""
    led = 0.7 * np.exp(-0.5 * ((WAVELENGTHS - 450) / 10) ** 2) + np.exp(
        -0.5 * ((WAVELENGTHS - 580) / 60) ** 2
    )
    lines = sum(np.exp(-0.5 * ((WAVELENGTHS - middle) / 8) ** 2) for middle in (437, 546, 612))
    return through(np.stack([planckian(4000.0), led, lines]), passed)


@given(
    ANY_MIRED | st.just(0.0),
    ANY_CC | st.just(0.0),
    ANY_STOPS,
    st.sampled_from([2800.0, 3200.0, 5600.0, 7000.0]),
    st.floats(-1.0, 1.0),
    st.floats(-1.0, 1.0),
)
@settings(deadline=None, max_examples=cases(300))
def test_small_changes_of_a_row_are_small_changes_of_the_prediction(mired, cc, lost, kelvin, more, greener):
    """By a ten-thousandth of a mired and of a CC, also through zero."""
    lost = np.nan if lost is None else lost
    pair = np.array([mired, mired + 1e-4 * more]), np.array([cc, cc + 1e-4 * greener])
    try:
        light = behind(made(*pair, [lost, lost], [kelvin, kelvin]))
    except Impossible:
        assume(False)
    assume((light.passed > 1e-4).all())
    assert delta_uv_prime(light.uv[0], light.uv[1]).max() < STEP_DELTA_UV / 50
    assert np.abs(np.diff(stops(light.passed), axis=0)).max() < 1e-3


def test_through_zero_and_past_where_the_sign_of_the_shift_decided_nothing_jumps():
    """A row of cc +27 jumped by 1 500 K as its mired went through zero."""
    mired = np.linspace(-2.0, 2.0, 41)
    light = behind(made(mired, np.full(41, 27.0)))
    assert delta_uv_prime(light.uv[1:], light.uv[:-1]).max() < STEP_DELTA_UV / 5


ORDINARY = {
    "straw": (35.0, 6.0, 0.24),
    "pale gold": (60.0, -2.0, 0.45),
    "pink": (30.0, -20.0, 0.60),
    "amber": (200.0, 5.0, 1.0),
    "pale steel blue": (-40.0, 3.0, 0.50),
    "moss": (10.0, 25.0, 0.90),
    "lavender": (-30.0, -25.0, 1.30),
    "full CTB that passes 38 %": (-134.0, 0.0, 1.396),
}
"""As such gels are labelled: shift [MK⁻¹, CC] and loss [stop]. Common practice, no source, from memory."""


@pytest.mark.parametrize("name", ORDINARY)
def test_ordinary_coloured_gels_are_taken(name):
    mired, cc, lost = ORDINARY[name]
    [passed] = made(mired, cc, [lost])
    assert on_reference(mired, passed, cc) == pytest.approx((mired, cc, lost), abs=5e-3)
    # As smooth as dyes are: no edge of a theoretical filter.
    assert np.abs(np.diff(passed)).max() < 0.06


@pytest.mark.parametrize("name", ORDINARY)
def test_the_least_that_any_filter_costs_is_where_labels_end(name):
    mired, cc, lost = ORDINARY[name]
    at = (np.array([mired]), np.array([cc]), reference_of(np.array([mired]), np.array([cc])))
    [least] = least_stops(*at)
    assert least < lost
    [brightest] = made(mired, cc, [least + 0.002])
    assert loss_on_reference(at[2], brightest[None])[0] == pytest.approx(least + 0.002, abs=1e-4)
    with pytest.raises(Impossible, match=r"no filter passes more than \d+(\.\d)? % of \d.\d{3} K light"):
        made(mired, cc, [least - 0.01])


def test_a_shift_that_leaves_the_colours_of_light_is_refused_as_that():
    """1 000 K is nearly the colour of one wavelength: nothing is greener or redder by so much."""
    with pytest.raises(Impossible, match=r"no filter makes this shift of 2.000 K light"):
        made(400.0, 40.0, None, [2000.0])


def test_dyes_are_as_before_where_they_do_what_the_label_says():
    """30 CC of minus green has a band of density 0.28 (0.30 by its name; common practice, no source)."""
    [passed] = made(0, -30)
    assert np.log10(0.92 / passed.min()) == pytest.approx(0.28, abs=0.01)


def with_others(mired, cc, lost=None):
    mired, cc = np.array(mired, float), np.array(cc, float)
    lost = np.full(len(mired), np.nan) if lost is None else np.array(lost, float)
    kelvin = reference_of(mired, cc)
    own = transmittances(mired, cc, lost, kelvin)
    return own, alternatives(mired, cc, lost, kelvin, own)


def test_what_a_gel_may_be_as_well_does_what_its_label_says_too():
    mired, cc, lost = (np.array(part) for part in zip(*ORDINARY.values(), strict=True))
    _, others = with_others(mired, cc, lost)
    assert len(others) == 4
    for sheets in others:
        for label, sheet in zip(ORDINARY.values(), sheets, strict=True):
            assert on_reference(label[0], sheet, label[1]) == pytest.approx(label, abs=5e-3)


def apart(mired, cc, lost=None):
    """Return how far other gels of the labels lead three sources from the own, root mean square. [step]"""
    own, others = with_others(mired, cc, lost)
    off = [delta_uv_prime(behind(sheets).uv, behind(own).uv) ** 2 for sheets in others]
    return np.sqrt(np.mean(off, axis=(0, 2))) / STEP_DELTA_UV


def test_a_gel_of_no_common_dyes_is_known_less_than_one_of_common_ones():
    lavender, half_ctb, minus = apart([-40.0, -40.0, 0.0], [-25.0, 0.0, -25.0])
    assert lavender > 1.5 * max(half_ctb, minus)


def test_a_gel_that_is_clearer_than_dyes_are_is_known_less():
    usual, clear = apart([134.0, 134.0], [0.0, 0.0], [0.71, 0.40])
    assert clear > 1.5 * usual


def test_random_smooth_gels_that_shift_along_both_axes_lie_within_what_is_stated():
    """Three random bands, 25 to 80 nm wide, on a lamp of lines too; 1.5 times the RMS is to hold."""
    rng = np.random.default_rng(3)
    rows, sheets = [], []
    while len(rows) < 60:
        bands = np.exp(
            -0.5 * ((WAVELENGTHS - rng.uniform(400, 690, (3, 1))) / rng.uniform(25, 80, (3, 1))) ** 2
        )
        sheet = 0.92 * 10.0 ** -(rng.exponential(0.3, 3) @ bands)
        mired, cc, lost = on_reference(0.0, sheet, kelvin=5600.0)
        if (
            10 < mired < 200
            and 5 < abs(cc) < 35
            and min(0.13 * mired, abs(cc)) > 0.25 * max(0.13 * mired, abs(cc))
        ):
            rows.append((mired, cc, lost))
            sheets.append(sheet)
    mired, cc, lost = np.array(rows).T
    own, others = with_others(mired, cc, lost)
    mine = behind(own).uv
    stated = 1.5 * np.sqrt(np.mean([delta_uv_prime(behind(o).uv, mine) ** 2 for o in others], axis=0))
    assert np.mean(delta_uv_prime(behind(np.array(sheets)).uv, mine) <= stated) > 0.8
