"""Figures that a meter printed: members of an ensemble that have them weigh more."""

import numpy as np
import pytest

from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.rendering.cri import general_index, special_indices
from advisor.colour.rendering.figures import NO_FIGURES, Figures, agreement
from advisor.colour.rendering.rendition import fidelity_and_gamut
from advisor.colour.rendering.ssi import similarity
from advisor.colour.spectra.sources import ensemble

REFERENCE = "P4000"


@pytest.fixture(scope="module")
def spectra():
    return ensemble("led-white", uv_of_cct_duv(np.array(4000.0), np.array(0.001))).spectra


@pytest.fixture(scope="module")
def has(spectra):
    special = special_indices(spectra)
    rf, rg = np.array([fidelity_and_gamut(s) for s in spectra]).T
    return {
        "ra": general_index(special),
        "r9": special[:, 8],
        "rf": rf,
        "rg": rg,
        "ssi": np.array([similarity(s, REFERENCE) for s in spectra]),
    }


def seen(name, value):
    figures = Figures(**{name: float(value)})
    return figures._replace(ssi_reference=REFERENCE) if name == "ssi" else figures


@pytest.mark.parametrize("name", ["ra", "r9", "rf", "rg", "ssi"])
def test_the_nearer_a_member_the_more_it_weighs(name, spectra, has):
    for value in np.quantile(has[name], (0.1, 0.5, 0.9)):
        factors = agreement(spectra, seen(name, value))
        order = np.argsort(np.abs(has[name] - value), kind="stable")
        assert (np.diff(factors[order]) <= 1e-12).all()
        assert factors[order[0]] > 1.5 * factors[order[-1]]


def test_two_figures_both_count(spectra, has):
    best = int(np.argmax(has["ra"]))
    ra, r9 = has["ra"][best], has["r9"][best]
    both = agreement(spectra, Figures(ra=ra, r9=r9))
    for one in (Figures(ra=ra), Figures(r9=r9)):
        assert (both <= agreement(spectra, one) + 1e-12).all()
    assert int(np.argmax(both)) == best


def test_a_member_without_a_figure_agrees_no_better_than_the_worst(spectra, monkeypatch):
    """A spectrum so far from white that Rf is not defined for it."""
    given = iter([(90.0, 100.0), (np.nan, np.nan), (60.0, 100.0)])
    monkeypatch.setattr("advisor.colour.rendering.figures.fidelity_and_gamut", lambda spectrum: next(given))
    good, none, bad = agreement(spectra[:3], Figures(rf=90.0))
    assert good > bad == none


def test_a_figure_that_no_member_has_says_nothing(spectra, monkeypatch):
    none = (np.nan, np.nan)
    monkeypatch.setattr("advisor.colour.rendering.figures.fidelity_and_gamut", lambda spectrum: none)
    assert np.ptp(agreement(spectra[:3], Figures(rf=90.0))) == 0.0


def test_no_figures_weigh_nothing(spectra):
    factors = agreement(spectra, NO_FIGURES)
    assert np.ptp(factors) == 0.0 and factors[0] > 0.0


def test_an_ssi_without_its_reference_says_nothing(spectra):
    assert np.ptp(agreement(spectra, Figures(ssi=80.0))) == 0.0


def test_no_member_is_ruled_out(spectra):
    factors = agreement(spectra, Figures(ra=-100.0, r9=-300.0))
    assert factors.min() > 0.0 and factors.max() == pytest.approx(1.0, abs=0.02)


def test_a_figure_that_no_member_has_still_favours_the_nearest(spectra, has):
    factors = agreement(spectra, Figures(ra=100.0))
    assert int(np.argmax(factors)) == int(np.argmax(has["ra"]))
    assert has["ra"].max() < 99.0


def test_members_without_the_figure_keep_their_weight():
    green = np.zeros((2, 81))
    green[:, 30] = 1.0
    assert np.ptp(agreement(green, Figures(ra=80.0))) == 0.0
