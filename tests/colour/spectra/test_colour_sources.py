"""Sources as ensembles of spectra: every member has exactly the chromaticity that was read."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.colour.observer.chromaticity import uv_of_xyz, xy_of_uv
from advisor.colour.observer.data import published
from advisor.colour.observer.grid import to_grid, weights
from advisor.colour.observer.loci import daylight, daylight_uv, planckian
from advisor.colour.observer.real_light import is_real
from advisor.colour.rendering.cri import general_index, special_indices
from advisor.colour.rendering.figures import Figures
from advisor.colour.spectra.kinds import shares
from advisor.colour.spectra.sources import Ensemble, Unbendable, behind, ensemble, ensembles, measured
from advisor.model import Kind
from tests.whites import uv_at

CHROMATICITY_ERROR = 1e-7
"""[Δuv]"""
HELD_ENDS = 2e-4
"""On the grid a spectrum is held beyond 380 and 780 nm: this much is bent to make up for it."""
CCTS = (1500, 2000, 2700, 3200, 4000, 5000, 5600, 6500, 8000, 12000, 25000)
DUVS = (-0.05, -0.02, -0.01, 0.0, 0.01, 0.02, 0.05)
WHITE = np.array([1 / 3, 1 / 3])


def well_within(uv):
    """Beside the spectral locus only lines will do, and no smooth bend makes a line of a lamp."""
    return is_real(WHITE + 1.05 * (xy_of_uv(uv) - WHITE))


REAL = [
    pytest.param(uv_at(cct, duv), id=f"{cct} K {duv:+}")
    for cct in CCTS
    for duv in DUVS
    if is_real(xy_of_uv(uv_at(cct, duv)))
]


def check(found, uv):
    assert found.spectra.shape == (len(found.weights), 81) and len(found.names) == len(found.weights)
    assert found.spectra.min() >= 0.0 and found.weights.min() > 0.0
    assert found.weights.sum() == pytest.approx(1.0, abs=1e-12)
    assert np.abs(uv_of_xyz(found.spectra @ weights()) - uv).max() < CHROMATICITY_ERROR
    np.testing.assert_allclose(found.spectra @ weights()[:, 1], 1.0, rtol=1e-12)
    assert not found.measured


def heaviest(found):
    return found.names[int(np.argmax(found.weights))]


@pytest.mark.parametrize("uv", REAL)
def test_a_source_of_no_known_kind_can_read_any_white(uv):
    check(ensemble("unknown", uv), uv)


@pytest.mark.parametrize("uv", REAL)
def test_every_kind_can_read_any_white_that_is_not_beside_the_spectral_locus(uv):
    for kind in Kind:
        try:
            check(ensemble(kind, uv), uv)
        except Unbendable:
            assert not well_within(uv), kind


@given(st.sampled_from(Kind), st.floats(1500.0, 25000.0), st.floats(-0.03, 0.03))
@settings(deadline=None)
def test_so_it_is_between_the_whites_tried(kind, cct, duv):
    uv = uv_at(cct, duv)
    assume(well_within(uv))
    check(ensemble(kind, uv), uv)


def test_an_archetype_at_its_own_chromaticity_is_not_bent():
    for kind, name in (("fluorescent", "FL2"), ("sodium", "HP1"), ("led-white", "LED-B3")):
        own = to_grid(*published(name))
        found = ensemble(kind, uv_of_xyz(own @ weights()))
        member = found.spectra[found.names.index(name)]
        np.testing.assert_allclose(member, own / (own @ weights()[:, 1]), rtol=1e-6)


def test_what_is_bent_less_weighs_more():
    near_fl11 = uv_of_xyz(to_grid(*published("FL11")) @ weights()) + np.array([1e-4, 0.0])
    assert heaviest(ensemble("fluorescent-triband", near_fl11)) in {"FL11", "FL3.8", "FL3.11"}
    bent_far = ensemble("fluorescent", uv_at(2700, 0.0))
    weight = dict(zip(bent_far.names, bent_far.weights, strict=True))
    assert weight["FL4"] > weight.get("FL1", 0.0)  # of 2 940 K and of 6 430 K


def test_tungsten_on_the_locus_is_above_all_a_planckian_radiator():
    found = ensemble("tungsten", uv_at(3200, 0.0))
    assert heaviest(found) == "planckian"
    own = planckian(3200.0)
    wanted = own / (own @ weights()[:, 1])
    np.testing.assert_allclose(found.spectra[found.names.index("planckian")], wanted, rtol=HELD_ENDS)


def test_daylight_on_its_locus_is_a_phase_of_daylight():
    found = ensemble("daylight", daylight_uv(np.array(6504.0)))
    ratio = found.spectra[0] / daylight(6504.0)
    # The locus and the sum of the spectrum differ by about 1e-4 in x and y: that much is bent.
    assert found.names == ("daylight",) and np.ptp(ratio) < 0.02 * ratio.mean()


def test_daylight_below_4000_k_is_a_planckian_radiator():
    own = planckian(3500.0)
    wanted = own / (own @ weights()[:, 1])
    np.testing.assert_allclose(ensemble("daylight", uv_at(3500, 0.0)).spectra[0], wanted, rtol=HELD_ENDS)


def test_kinds_differ_at_the_same_reading():
    uv = uv_at(4200, 0.002)
    means = [(e := ensemble(kind, uv)).weights @ e.spectra for kind in ("tungsten", "sodium", "led-mix")]
    assert np.corrcoef(means).min() < 0.9


def test_a_source_of_no_known_kind_has_members_of_several():
    names = ensemble("unknown", uv_at(4200, 0.002)).names
    alone = ("planckian", "daylight", "white-led", "FL2", "HP5")  # of one kind each
    assert [mine for mine in alone if not any(name.startswith(mine) for name in names)] == []


@pytest.mark.parametrize("cct", [3200, 4200, 5600])
def test_no_kind_falls_out_of_a_source_of_no_known_kind(cct):
    names = ensemble("unknown", uv_at(cct, 0.002)).names
    assert any(name.startswith("rgb") for name in names)


def test_mercury_is_what_is_left_of_discharge_far_off_the_locus():
    def share_of_mercury(duv):
        found = ensemble("discharge", uv_at(5700, duv))
        return sum(w for w, name in zip(found.weights, found.names, strict=True) if "mercury" in name.lower())

    assert share_of_mercury(0.001) < 0.3 < 0.7 < share_of_mercury(0.028)


@pytest.mark.parametrize(("cct", "least", "most"), [(1900, 0.4, 0.6), (2200, 0.1, 0.4), (2700, 0.0, 0.0)])
def test_what_is_not_known_may_be_sodium_the_warmer_the_likelier(cct, least, most):
    of = shares(uv_at(cct, 0.0))
    assert sum(of.values()) == pytest.approx(1.0, abs=1e-12)
    assert least <= of.get("sodium", 0.0) <= most


def test_bending_keeps_lines_where_they_are():
    own = to_grid(*published("FL11"))
    found = ensemble("fluorescent-triband", uv_at(3000, 0.005))
    assert np.argmax(found.spectra[found.names.index("FL11")]) == np.argmax(own)


def test_figures_move_the_weights_towards_members_that_have_them():
    uv = uv_at(4000, 0.001)

    def expected_ra(seen):
        found = ensemble("led-white", uv, Figures(ra=seen))
        assert found.weights.sum() == pytest.approx(1.0, abs=1e-12)
        return float(found.weights @ general_index(special_indices(found.spectra)))

    found = [expected_ra(seen) for seen in (65.0, 75.0, 85.0, 95.0)]
    assert all(b - a > 2.0 for a, b in pairwise(found))


def test_without_figures_nothing_is_weighed_twice():
    uv = uv_at(4000, 0.001)
    np.testing.assert_array_equal(
        ensemble("led-white", uv, Figures()).weights, ensemble("led-white", uv).weights
    )


def test_a_measured_spectrum_is_alone_and_exact():
    own = to_grid(*published("FL2"))
    uv = uv_of_xyz(own @ weights()) + np.array([1e-5, -1e-5])  # as from its own, finer steps
    found = measured(own, uv)
    assert found.measured and found.weights.tolist() == [1.0] and len(found.spectra) == 1
    assert np.abs(uv_of_xyz(found.spectra @ weights()) - uv).max() < CHROMATICITY_ERROR
    ratio = found.spectra[0] / own
    assert np.ptp(ratio) < 0.01 * ratio.mean()


def test_what_no_bend_can_do_is_an_error():
    with pytest.raises(Unbendable):
        measured(planckian(4000.0), np.array([0.9, 0.1]))
    beside_the_spectral_locus = uv_at(3500, 0.0423)
    assert is_real(xy_of_uv(beside_the_spectral_locus))
    with pytest.raises(Unbendable, match="no tungsten spectrum"):
        ensemble("tungsten", beside_the_spectral_locus)


@pytest.mark.parametrize("kind", ["tungsten", "led-white", "unknown"])
def test_several_chromaticities_at_once_are_each_by_itself(kind):
    whites = [uv_at(3200, 0.001), uv_at(3500, 0.0423), uv_at(5600, -0.002)]
    for uv, found in zip(whites, ensembles(kind, np.array(whites)), strict=True):
        try:
            alone = ensemble(kind, uv)
        except Unbendable:
            assert found is None
            continue
        assert found.names == alone.names
        np.testing.assert_allclose(found.spectra, alone.spectra, rtol=1e-9, atol=1e-12)
        np.testing.assert_allclose(found.weights, alone.weights, rtol=1e-9)


class TestBehind:
    """What is known of a source after its light was read behind a gel."""

    GEL = np.linspace(0.9, 0.3, 81)

    def lit(self, *weights_of):
        """An ensemble of planckian radiators of 2 800 K, 3 200 K and so on, each of luminance 1."""
        spectra = np.array([planckian(2800.0 + 400 * i) for i in range(len(weights_of))])
        spectra /= (spectra @ weights()[:, 1])[:, None]
        names = tuple(f"{2800 + 400 * i} K" for i in range(len(weights_of)))
        return Ensemble(spectra, np.array(weights_of), names)

    def test_every_member_looks_as_read_behind_the_gel_and_has_luminance_1(self):
        uv = uv_at(4000, 0.002)
        found = behind(self.lit(0.5, 0.3, 0.2), self.GEL, uv)
        assert np.abs(uv_of_xyz((found.spectra * self.GEL) @ weights()) - uv).max() < CHROMATICITY_ERROR
        np.testing.assert_allclose(found.spectra @ weights()[:, 1], 1.0, rtol=1e-12)
        assert found.names == ("2800 K", "3200 K", "3600 K") and not found.measured

    def test_members_weigh_what_they_did(self):
        found = behind(self.lit(0.5, 0.3, 0.2), self.GEL, uv_at(4000, 0.002))
        assert found.weights.tolist() == pytest.approx([0.5, 0.3, 0.2])
        # As probabilities, whatever they added up to.
        found = behind(self.lit(5.0, 3.0, 2.0), self.GEL, uv_at(4000, 0.002))
        assert found.weights.tolist() == pytest.approx([0.5, 0.3, 0.2])

    def test_members_that_cannot_look_so_fall_out_and_the_others_share_their_weight(self):
        """A line in the red bends to no white at all."""
        lit = self.lit(0.5, 0.3, 0.2)
        line = np.zeros(81)
        line[50] = 1.0
        odd = np.array([lit.spectra[0], line / (line @ weights()[:, 1]), lit.spectra[2]])
        found = behind(lit._replace(spectra=odd), self.GEL, uv_at(4000, 0.002))
        assert found.names == ("2800 K", "3600 K")
        assert found.weights.tolist() == pytest.approx([5 / 7, 2 / 7])
        with pytest.raises(Unbendable, match="behind the gel"):
            behind(Ensemble(odd[1:2], np.ones(1), ("line",)), self.GEL, uv_at(4000, 0.002))

    def test_what_was_measured_stays_so(self):
        lit = measured(planckian(3200.0), uv_at(3200, 0.0))
        assert behind(lit, self.GEL, uv_at(4000, 0.0)).measured
