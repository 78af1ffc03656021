"""CCT and Duv: against luxpy, colour-science and published points, there and back, and out of range."""

import numpy as np
import outside
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import reference, references, table

from advisor.colour.observer.cct import (
    cct_duv_of_uv,
    moves_at,
    normal_at,
    planckian_table,
    planckian_uv,
    uv_of_cct_duv,
)
from advisor.colour.observer.chromaticity import uv_of_xy, uv_of_xyz, xy_of_uv
from advisor.colour.observer.data import observer
from advisor.colour.observer.loci import planckian

CCT_RANGE = (1000.0, 25000.0)
"""[K]"""
DUV_LIMIT = 0.05

CCT_BAR = 5e-4
"""How far another implementation may be off in CCT, relative to it: 0.05 %."""
DUV_BAR = 2e-5
LUXPY_CCT = 1e-8
"""luxpy's Newton method and ours agree far better than the bar: any change of ours shows."""
LUXPY_DUV = 1e-9
ROUND_TRIP = 1e-6
"""[Δuv]"""

CCTS = st.floats(*CCT_RANGE)
DUVS = st.floats(-DUV_LIMIT, DUV_LIMIT)


def back_and_forth(cct, duv):
    """Distance in (u, v) after (CCT, Duv) → (u, v) → (CCT, Duv) → (u, v)."""
    uv = uv_of_cct_duv(np.asarray(cct), np.asarray(duv))
    again = uv_of_cct_duv(*cct_duv_of_uv(uv))
    return np.hypot(*np.moveaxis(again - uv, -1, 0))


@pytest.mark.parametrize("entry", references("planck-uv-"), ids=lambda e: e["id"])
def test_the_locus_to_seven_places(entry):
    mired = float(entry["id"].removeprefix("planck-uv-"))
    assert np.abs(planckian_uv(np.array(mired))[0] - entry["value"]).max() < entry["tolerance"]


def test_between_its_nodes_the_table_is_as_good_as_plancks_law():
    cmfs, mired = observer(), np.arange(25.5, 1119.0, 7.25)
    exact = uv_of_xyz(planckian(1e6 / mired, cmfs.wavelengths) @ cmfs.values)
    at, slope = planckian_uv(mired)
    assert np.abs(at - exact).max() < 1e-10
    assert np.abs(slope - (planckian_uv(mired + 1e-3)[0] - planckian_uv(mired - 1e-3)[0]) / 2e-3).max() < 1e-9


def test_beyond_its_ends_the_table_stays_at_its_ends():
    table = planckian_table()
    for mired, end in ((0.0, 0), (-50.0, 0), (2000.0, -1)):
        np.testing.assert_allclose(planckian_uv(np.array(mired))[0], table.uv[end], atol=1e-12)


def test_the_table_cannot_be_changed():
    with pytest.raises(ValueError, match="read-only"):
        planckian_table().uv[0] = 0.0


def test_the_whole_grid_is_what_luxpy_finds():
    u, v, cct, duv = table("luxpy_grid.csv").T
    ours, off = cct_duv_of_uv(np.column_stack([u, v]))
    assert len(u) == 81 * 21
    assert cct.min() < 2001 and cct.max() > 9999 and duv.min() < -0.0199 and duv.max() > 0.0199
    assert LUXPY_CCT < CCT_BAR and LUXPY_DUV < DUV_BAR
    assert np.abs(ours / cct - 1).max() < LUXPY_CCT
    assert np.abs(off - duv).max() < LUXPY_DUV


def test_the_whole_grid_is_what_colour_science_finds():
    uv = table("luxpy_grid.csv")[:, :2]
    cct, duv = outside.cct_duv(uv)
    ours, off = cct_duv_of_uv(uv)
    assert np.abs(ours / cct - 1).max() < CCT_BAR
    assert np.abs(off - duv).max() < DUV_BAR


@pytest.mark.parametrize("entry", references("ansi-corner-"), ids=lambda e: e["id"])
def test_ansi_quadrangle_corners(entry):
    corner = entry["value"]
    uv = uv_of_cct_duv(np.array(corner["cct"]), np.array(corner["duv"]))
    assert np.abs(xy_of_uv(uv) - corner["xy"]).max() < entry["tolerance"]


@pytest.mark.parametrize("entry", references("ansi-nominal-"), ids=lambda e: e["id"])
def test_ansi_nominal_ccts_and_the_duv_formula(entry):
    formula, nominal = reference("ansi-duv-formula")["value"], entry["value"]
    t = float(nominal["target"])
    duv = 0.0
    if t >= formula["from_K"]:
        duv = formula["per_T2"] / t**2 + formula["per_T"] / t + formula["constant"]
    assert duv == pytest.approx(nominal["target_duv"], abs=5e-6)
    cct, off = cct_duv_of_uv(uv_of_xy(np.array(nominal["xy"])))
    # The centres are printed to four places of x and y: that is 2 K and 2e-5 Duv.
    assert cct == pytest.approx(t, abs=entry["tolerance"])
    assert off == pytest.approx(duv, abs=2e-5)


def test_there_and_back_over_the_whole_range():
    # Mireds that are no whole numbers, so that no point lies on a node of the table.
    mired = np.linspace(1e6 / CCT_RANGE[1], 1e6 / CCT_RANGE[0], 397)
    cct, duv = np.meshgrid(1e6 / mired, np.linspace(-DUV_LIMIT, DUV_LIMIT, 41), indexing="ij")
    cct = np.clip(cct, *CCT_RANGE)
    assert back_and_forth(cct, duv).max() < ROUND_TRIP


@given(CCTS, DUVS)
@settings(deadline=None)
def test_there_and_back_anywhere(cct, duv):
    assert back_and_forth(cct, duv) < ROUND_TRIP


@given(CCTS, DUVS)
@settings(deadline=None)
def test_the_nearest_point_of_the_locus_is_the_nearest(cct, duv):
    uv = uv_of_cct_duv(np.array(cct), np.array(duv))
    locus = planckian_uv(np.arange(25.0, 1120.0, 0.25))[0]
    distance = np.hypot(*(locus - uv).T).min()
    assert abs(float(cct_duv_of_uv(uv)[1])) <= distance + 1e-12


@pytest.mark.parametrize("cct", CCT_RANGE)
@pytest.mark.parametrize("duv", [-DUV_LIMIT, 0.0, DUV_LIMIT])
def test_the_ends_of_the_range_belong_to_it(cct, duv):
    assert back_and_forth(cct, duv) < ROUND_TRIP


@pytest.mark.parametrize("beyond", [0.0, 4e-7, 9e-7])
def test_what_is_found_lies_within_the_range(beyond):
    hot = planckian_uv(np.array(1e6 / CCT_RANGE[1] - beyond))[0]
    cold = planckian_uv(np.array(1e6 / CCT_RANGE[0] + beyond))[0]
    cct, _ = cct_duv_of_uv(np.stack([hot, cold]))
    assert CCT_RANGE[0] <= cct[1] and cct[0] <= CCT_RANGE[1]


@pytest.mark.parametrize(
    ("cct", "duv", "says"),
    [
        (999.9, 0.0, "CCT must be in"),
        (25000.1, 0.0, "CCT must be in"),
        (0.0, 0.0, "CCT must be in"),
        (-5.0, 0.0, "CCT must be in"),
        (1e9, 0.0, "CCT must be in"),
        (np.nan, 0.0, "CCT must be in"),
        (5600.0, 0.0501, "Duv must be in"),
        (5600.0, -3.0, "Duv must be in"),
        (5600.0, np.nan, "Duv must be in"),
    ],
)
def test_out_of_range_is_an_error(cct, duv, says):
    with pytest.raises(ValueError, match=says):
        uv_of_cct_duv(np.array([5600.0, cct]), np.array([0.0, duv]))


@pytest.mark.parametrize(
    "uv",
    [
        # The ends of the locus: 26 MK⁻¹ (38 000 K) and 1 100 MK⁻¹ (909 K).
        planckian_uv(np.array(26.0))[0],
        planckian_uv(np.array(1100.0))[0],
        # A saturated green, and coordinates of no light.
        [0.08, 0.38],
        [0.0, 0.0],
        [np.nan, 0.3],
        [0.2, np.inf],
    ],
    ids=["38 000 K", "909 K", "green", "origin", "nan", "inf"],
)
def test_too_far_from_white_is_nan_and_spoils_nothing_beside_it(uv):
    cct, duv = cct_duv_of_uv(np.array([uv, uv_of_cct_duv(np.array(5600.0), np.array(0.003))]))
    assert np.isnan(cct[0]) and np.isnan(duv[0])
    assert cct[1] == pytest.approx(5600) and duv[1] == pytest.approx(0.003)


def test_shapes_are_kept():
    uv = uv_of_cct_duv(np.full((2, 3), 4000.0), np.array([0.0, 0.01, -0.01]))
    assert uv.shape == (2, 3, 2)
    cct, duv = cct_duv_of_uv(uv)
    assert cct.shape == duv.shape == (2, 3)
    assert cct_duv_of_uv(uv[0, 0])[0].shape == ()
    assert cct_duv_of_uv(np.zeros((0, 2)))[0].shape == (0,)


def test_positive_duv_is_above_the_locus():
    for cct in (1000.0, 3200.0, 5600.0, 25000.0):
        assert normal_at(np.array(cct))[1] > 0
        assert np.hypot(*normal_at(np.array(cct))) == pytest.approx(1)


@given(st.floats(1100.0, 20000.0), st.floats(-0.045, 0.045))
def test_a_mired_and_a_unit_of_duv_are_worth_what_finite_differences_say(cct, duv):
    mired, by = 1e6 / cct, 0.05
    warmer, greener = moves_at(np.array(cct), np.array(duv))
    ends = uv_of_cct_duv(1e6 / (mired + np.array([by, -by])), np.array([duv, duv]))
    np.testing.assert_allclose(warmer, (ends[0] - ends[1]) / (2 * by), rtol=1e-4, atol=2e-8)
    ends = uv_of_cct_duv(np.array([cct, cct]), duv + np.array([1e-4, -1e-4]))
    np.testing.assert_allclose(greener, (ends[0] - ends[1]) / 2e-4, rtol=1e-8, atol=1e-10)


def test_off_the_locus_a_mired_is_worth_more_or_less():
    off, on = (np.hypot(*moves_at(np.array(5600.0), np.array(duv))[0]) for duv in (0.02, 0.0))
    assert abs(off / on - 1) > 0.1
    several = moves_at(np.full((2, 1), 4000.0), np.array([0.0, 0.01, -0.01]))
    assert several[0].shape == several[1].shape == (2, 3, 2)


def test_lines_of_equal_cct_have_robertsons_slopes():
    lines = {float(e["id"].removeprefix("robertson-")): e["value"][2] for e in references("robertson-")}
    mired = np.array([m for m in lines if m >= 1e6 / CCT_RANGE[1]])
    assert len(mired) == 10
    u, v = normal_at(1e6 / mired).T
    # Five digits are printed.
    np.testing.assert_allclose(v / u, [lines[m] for m in mired], rtol=5e-5)
