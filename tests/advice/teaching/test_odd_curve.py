"""Curves that are asked about before they are taken. Every curve is made by the engine from a row."""

import numpy as np
import pytest

from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.teaching.odd_curve import doubt_about
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.model import Gel, Known, Transmittance
from tests.advice.taught import ROW, TABLE, flat

COLOURED = [row for row in TABLE if not row.neutral]
GENERIC_CTO = ROW["CTO 1/2"].model_copy(update={"known": Known.GENERIC})


def curve(gel):
    [sheet] = gel_arrays_of((gel,)).transmittances
    return Transmittance(start=float(WAVELENGTHS[0]), step=5, values=sheet.tolist())


def taken_as_share(gel):
    """Return what comes of a gel's densities when they are taken for shares of light."""
    [sheet] = gel_arrays_of((gel,)).transmittances
    values = np.clip(-np.log10(sheet), 0.0, 1.0).tolist()
    return Transmittance(start=float(WAVELENGTHS[0]), step=5, values=values)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row.name)
def test_a_rows_own_curve_is_taken_without_a_word(row):
    assert doubt_about(row, {"transmittance": curve(row), "density": flat(0.5)}) is None


@pytest.mark.parametrize("row", [r for r in COLOURED if abs(r.mired) > 60], ids=lambda row: row.name)
def test_densities_taken_for_shares_have_the_other_sign(row):
    """A gel that warms is dense in the blue: as a transmittance it would cool."""
    doubt = doubt_about(row, {"transmittance": taken_as_share(row), "density": curve(row)})
    assert doubt.likeliest == "density"
    assert f"The label says {'+' if row.mired > 0 else '−'}" in doubt.says
    plain = doubt.ways["transmittance"]
    assert plain.mired is None or plain.mired * row.mired < 0
    assert doubt.ways["density"].mired == pytest.approx(row.mired, abs=0.1)


@pytest.mark.parametrize(("strength", "asked"), [(0.7, True), (0.8, False), (1.2, False), (1.3, True)])
def test_a_generic_cto_may_be_off_by_its_25_percent(strength, asked):
    other = GENERIC_CTO.model_copy(update={"mired": strength * GENERIC_CTO.mired})
    assert bool(doubt_about(GENERIC_CTO, {"transmittance": curve(other)})) is asked


@pytest.mark.parametrize(("strength", "asked"), [(0.83, True), (0.87, False), (1.13, False), (1.17, True)])
def test_the_surest_label_still_leaves_15_percent(strength, asked):
    row = GENERIC_CTO.model_copy(update={"known": Known.SWATCH})
    other = row.model_copy(update={"mired": strength * row.mired})
    assert bool(doubt_about(row, {"transmittance": curve(other)})) is asked


def test_where_no_way_agrees_the_label_is_likeliest():
    doubt = doubt_about(ROW["CTO 1/2"], {"transmittance": curve(ROW["CTB 1/2"])})
    assert doubt.likeliest == "label"
    assert doubt.says.startswith("this curve shifts −")


def test_a_heading_of_densities_is_asked_about_even_where_the_label_agrees():
    row = ROW["CTO 1/2"]
    headed = "the values, 0.04 to 0.9, are headed as density"
    doubt = doubt_about(row, {"transmittance": curve(row), "density": flat(0.5)}, headed)
    assert doubt.likeliest == "transmittance"
    assert doubt.says.startswith(headed)


def test_a_row_without_a_label_is_never_contradicted():
    bare = Gel(family="Amber", fraction="full", stops=0.0)
    assert doubt_about(bare, {"transmittance": curve(ROW["CTO full"])}) is None
    doubt = doubt_about(bare, {"transmittance": flat(0.3), "density": flat(0.5)}, "headed as density")
    assert (doubt.says, doubt.likeliest) == ("headed as density", "density")
