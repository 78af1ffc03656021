"""Planckian and daylight loci against published tables."""

import numpy as np
import pytest
from references import reference, references

from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import uv_of_xyz, xy_of_uv
from advisor.colour.observer.data import observer
from advisor.colour.observer.data import published as spectrum_of
from advisor.colour.observer.grid import WAVELENGTHS, to_grid, weights
from advisor.colour.observer.loci import C2, daylight, daylight_uv, daylight_xy, planckian

OLD_C2 = 1.4380e-2
"""CIE's D50, D55, … are named by the constant of 1948: 5 000 K of then is 5 003 K of now. [m K]"""


def test_the_constant_is_cies():
    assert reference("c2")["value"] == C2


@pytest.mark.parametrize("entry", references("robertson-"), ids=lambda e: e["id"])
def test_robertsons_points_of_the_locus(entry):
    mired = float(entry["id"].removeprefix("robertson-"))
    cmfs = observer()
    uv = uv_of_xyz(planckian(1e6 / mired, cmfs.wavelengths) @ cmfs.values)
    assert np.abs(uv - entry["value"][:2]).max() < entry["tolerance"]


def test_several_radiators_at_once_are_each_by_itself():
    ccts = np.array([[1000.0, 2856.0], [5600.0, 25000.0]])
    assert planckian(ccts).shape == (2, 2, 81)
    np.testing.assert_allclose(planckian(ccts)[1, 0], planckian(5600.0), rtol=1e-14)


def test_a_planckian_radiator_is_one_at_560_nm_and_redder_the_colder():
    for cct in (1000.0, 2856.0, 25000.0):
        assert planckian(cct)[WAVELENGTHS == 560.0] == pytest.approx(1.0)
    blue_over_red = [planckian(cct)[0] / planckian(cct)[-1] for cct in (1000.0, 2000.0, 5600.0, 25000.0)]
    assert blue_over_red == sorted(blue_over_red)


@pytest.mark.parametrize("entry", references("daylight-"), ids=lambda e: e["id"])
def test_the_daylight_locus(entry):
    nominal = np.array(float(entry["id"].rpartition("-")[2]))
    cct, duv = cct_duv_of_uv(daylight_uv(nominal))
    if entry["id"].startswith("daylight-duv-"):
        assert duv == pytest.approx(entry["value"], abs=entry["tolerance"])
    else:
        # Seven places are printed; the last may be rounded either way in the polynomial's terms.
        assert np.abs(daylight_xy(nominal) - entry["value"]["xy"]).max() < 5e-7
        assert cct == pytest.approx(entry["value"]["cct"], abs=entry["tolerance"])


def test_outside_4000_to_25000_k_there_is_no_daylight():
    ends = daylight_xy(np.array([3999.9, 4000.0, 25000.0, 25000.1]))
    assert np.isnan(ends).all(axis=1).tolist() == [True, False, False, True]


def test_both_branches_of_the_daylight_locus_meet():
    below, above = daylight_xy(np.array([7000.0, 7000.0001]))
    assert np.abs(below - above).max() < 2e-5


@pytest.mark.parametrize("cct", [4000.0, 5000.0, 6500.0, 10000.0, 25000.0])
def test_a_daylight_spectrum_lies_on_the_locus(cct):
    xy = xy_of_uv(uv_of_xyz(daylight(cct) @ weights()))
    # CIE's own basis functions, printed to 0.1, leave this much.
    assert np.abs(xy - daylight_xy(np.array(cct))).max() < 2e-4


@pytest.mark.parametrize(("name", "nominal"), [("D50", 5000), ("D55", 5500), ("D65", 6500), ("D75", 7500)])
def test_daylight_spectra_are_cies(name, nominal):
    published = to_grid(*spectrum_of(name))
    ours = daylight(nominal * C2 / OLD_C2)
    at_560 = WAVELENGTHS == 560.0
    # CIE rounds M1 and M2 to three places.
    np.testing.assert_allclose(ours / ours[at_560], published / published[at_560], atol=3e-4)
