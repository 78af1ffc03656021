"""Rendition figures against published ones and against luxpy."""

import numpy as np
import pytest
from references import reference, references, table

from advisor.colour.observer.data import published
from advisor.colour.observer.loci import daylight, planckian
from advisor.colour.rendering.rendition import fidelity_and_gamut, rendition

LUXPY_RA = 0.4
"""luxpy rounds every R_i before it averages."""
LUXPY_R9 = 0.7
LUXPY_RF, LUXPY_RG = 0.15, 0.15
"""luxpy sums at 1 nm what we sum at the 5 nm of the published tables; lines of FL10 to FL12 differ most."""


def figures_of(name):
    own = published(name)
    return rendition(own.values, own.wavelengths)


@pytest.mark.parametrize("entry", references("ra-FL"), ids=lambda e: e["id"])
def test_ra_of_cies_fluorescent_lamps(entry):
    found = figures_of(entry["id"].removeprefix("ra-"))
    assert found.ra == pytest.approx(entry["value"], abs=entry["tolerance"])


@pytest.mark.parametrize("entry", references("ra-R-FL"), ids=lambda e: e["id"])
def test_ra_against_an_independent_library(entry):
    found = figures_of(entry["id"].removeprefix("ra-R-"))
    assert found.ra == pytest.approx(entry["value"], abs=entry["tolerance"])


@pytest.mark.parametrize("entry", references("cie224-"), ids=lambda e: e["id"])
def test_rf_as_in_cies_workbook(entry):
    """The colour fidelity index of CIE 224:2017 is the Rf of TM-30-18."""
    found = figures_of(entry["id"].removeprefix("cie224-"))
    assert found.rf == pytest.approx(entry["value"], abs=entry["tolerance"])


def test_rf_and_rg_as_in_the_ies_workbook():
    entry = reference("tm30-FL2")
    found = figures_of("FL2")
    assert (found.rf, found.rg) == pytest.approx(entry["value"], abs=entry["tolerance"])


@pytest.mark.parametrize("row", table("luxpy_rendition.csv").tolist(), ids=lambda row: f"FL{row[0]:.0f}")
def test_luxpy_agrees(row):
    number, ra, r9, rf, rg = row
    found = figures_of(f"FL{number:.0f}")
    assert found.ra == pytest.approx(ra, abs=LUXPY_RA)
    assert found.special[8] == pytest.approx(r9, abs=LUXPY_R9)
    assert found.rf == pytest.approx(rf, abs=LUXPY_RF)
    assert found.rg == pytest.approx(rg, abs=LUXPY_RG)


def test_ra_is_the_mean_of_the_first_eight():
    found = figures_of("FL4")
    assert len(found.special) == 15
    assert found.ra == pytest.approx(np.mean(found.special[:8]), abs=1e-9)


def test_fidelity_alone_is_the_same():
    own = published("FL7")
    found = rendition(own.values, own.wavelengths)
    assert fidelity_and_gamut(own.values, own.wavelengths) == (found.rf, found.rg)


def test_reference_illuminants_render_perfectly():
    for spectrum in (planckian(2900.0), daylight(6500.0)):
        found = rendition(spectrum)
        assert min(found.ra, *found.special, found.rf) > 99.5
        assert found.rg == pytest.approx(100.0, abs=0.5)
