"""Interpolated surfaces are near what is predicted exactly, and zooming finds their lowest place."""

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from advisor.advice.dials.at_setting import spectra_at_each, stand_at
from advisor.advice.dials.calibration import Mapped, fit_dial
from advisor.advice.dials.search import Valley, dials_of, span_of
from advisor.advice.dials.surfaces import possible, surfaces_of
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import choice_on, stacks_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare, stacked
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import delta_uv_prime, xy_of_uv
from advisor.colour.observer.real_light import is_real
from advisor.model import Reach, Target
from tests.advice.dialling import scatter
from tests.advice.heads import REACH, dial, head
from tests.advice.rows import nominal
from tests.advice.searching import SILENT

RACK = gel_arrays_of(tuple(nominal()))
STACKS = stacks_on(RACK, choice_on(RACK, (), 2, RACK.ranked, dimmed=False))
#: Teach the whole mapping; leave it to the priors how far green goes, which is beyond all real light.
READ = {"all known": [dial(3200), dial(5600, 6), dial(5600)], "green assumed": [dial(3200), dial(5600)]}


def valley_of(kind, readings, reach=REACH):
    bare = prepare(head(readings, reach, kind=kind), RACK, white_of(Target(cct=4300), []))
    fit, dials = fit_dial(bare.source), dials_of(reach)
    surfaces = surfaces_of(
        *span_of(fit, dials), stacked(RACK.transmittances, STACKS), partial(spectra_at_each, bare)
    )
    scatter = np.linspace(0.0, 4.0, len(STACKS))
    return bare, Valley(fit, dials, surfaces, bare.wanted.uv, scatter, 3.0)


@pytest.mark.parametrize("readings", READ.values(), ids=READ)
@pytest.mark.parametrize("kind", ["led-mix", "led-white"])
def test_surfaces_are_near_what_is_predicted_exactly(kind, readings):
    bare, valley = valley_of(kind, readings)
    rng = np.random.default_rng(3)
    off, lost = [], []
    while len(off) < 30:
        at = np.array([rng.integers(valley.dials.ccts), rng.integers(valley.dials.greens)])
        mapped = valley.fit.of(valley.dials.setting(*at))
        if not possible(mapped.mired, mapped.duv):
            continue
        stand = stand_at(bare, valley.fit, valley.dials.setting(*at))
        exact, _ = stand.outcomes(stand.judge(RACK, SILENT), STACKS)
        everywhere = np.broadcast_to(at, (len(STACKS), 1, 2))
        moved = valley.moved(np.arange(len(STACKS)), everywhere[:, 0], exact.uv)
        shift = moved.surfaces.coefficients[:, 0, :2] - valley.surfaces.coefficients[:, 0, :2]
        off.append(delta_uv_prime(shift, np.zeros(2)) / 0.0011)
        lost.append(np.abs(valley.figures(everywhere)[1][:, 0] + np.log2(exact.passed)))
    assert np.median(off) < 0.1 and np.quantile(off, 0.9) < 0.5
    assert np.quantile(lost, 0.9) < 0.005


def test_bare_light_is_not_interpolated():
    """Its place is known for every setting; only stacks move it."""
    _, valley = valley_of("led-white", READ["all known"])
    assert np.abs(valley.surfaces.coefficients[0, :, :2]).max() < 1e-9


@pytest.mark.parametrize(
    "reach",
    [
        REACH,
        Reach(cct_from=2700, cct_to=6500, cct_step=7),
        Reach(cct_from=4300, cct_to=4300, green_from=-10, green_to=10, green_step=0.5),
        Reach(cct_from=5000, cct_to=5600, green_from=0, green_to=3, green_step=2),
    ],
    ids=["usual", "fine steps", "green only", "few settings"],
)
def test_zooming_finds_the_lowest_place_of_every_stack(reach):
    _, valley = valley_of("led-mix", READ["all known"], reach)
    [found] = valley.best([lambda risk, lost: risk])
    places = np.array([(i, j) for i in range(valley.dials.ccts) for j in range(valley.dials.greens)])
    for some in np.array_split(np.arange(len(STACKS)), 20):
        surfaces = replace(valley.surfaces, coefficients=valley.surfaces.coefficients[some])
        part = replace(valley, surfaces=surfaces, scatter=valley.scatter[some])
        risk, _ = part.figures(np.broadcast_to(places, (len(some), *places.shape)))
        assert found.risk[some] == pytest.approx(risk.min(axis=1), abs=1e-9)


@pytest.mark.parametrize(
    ("cct", "duv"), [(2000, 0.02), (2000, 0.01), (2700, 0.03), (2700, 0.02), (5600, 0.049), (1500, 0.01)]
)
def test_real_light_ends_where_it_does(cct, duv):
    uv = uv_of_cct_duv(np.array(float(cct)), np.array(duv))
    assert bool(possible(np.array(1e6 / cct), np.array(duv))) == is_real(xy_of_uv(uv))


@pytest.mark.parametrize(("mired", "duv"), [(39.0, 0.0), (1001.0, 0.0), (200.0, -0.051)])
def test_what_is_far_from_white_is_no_candidate(mired, duv):
    assert not possible(np.array(mired), np.array(duv))


def test_a_head_that_can_do_no_white_has_no_surfaces():
    none = surfaces_of(np.array([1200.0]), np.array([0.0]), np.ones((1, 81)), lambda uv: [None] * len(uv))
    assert none is None


def test_the_risk_on_the_surfaces_is_the_loss_of_all_mean_squares_together():
    """Where the dial may lead, and what else is uncertain, as if the place were so much farther off."""
    _, valley = valley_of("led-mix", READ["green assumed"])
    at = np.broadcast_to(np.array([20, 10]), (len(STACKS), 1, 2))
    alone, _ = replace(valley, scatter=np.zeros(len(STACKS)), tolerance=np.inf).figures(at)
    wide, _ = replace(valley, tolerance=np.inf).figures(at)
    np.testing.assert_allclose(wide**2 - alone**2, valley.scatter[:, None], atol=1e-9)
    tight, _ = valley.figures(at)
    np.testing.assert_allclose(tight, wide + 3.0 * np.maximum(wide - 3.0, 0.0))


def test_off_the_locus_a_mapping_scatters_as_whites_lie_there():
    """A mired is worth a fifth more at Duv 0.02 than on the locus, for the search and for what is shown."""
    one, none = np.array(1.0), np.array(0.0)
    mapped = Mapped(np.array(200.0), np.array(0.02), one, none)
    apart = delta_uv_prime(*uv_of_cct_duv(1e6 / np.array([199.5, 200.5]), np.full(2, 0.02)))
    assert np.sqrt(scatter(mapped)) == pytest.approx(apart, rel=1e-4)


def test_what_is_searched_with_and_what_is_shown_scatter_alike():
    source = head([dial(5600, 8), dial(3200, 8), dial(5600)])
    bare, fit = prepare(source, RACK, white_of(Target(cct=5600), [])), fit_dial(source)
    for setting in (dial(4300, 6), dial(4300), dial(6000, -5)):
        stand = stand_at(bare, fit, setting)
        mapped = float(scatter(fit.of(setting))) / 0.0011**2
        assert stand.mapping.trace() == pytest.approx(mapped)
