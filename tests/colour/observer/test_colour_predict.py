"""Light behind gels: against a plain loop at 1 nm, and against Wien's filter."""

import numpy as np
import outside
import pytest
from references import reference, references

from advisor.colour.observer.cct import cct_duv_of_uv, uv_of_cct_duv
from advisor.colour.observer.chromaticity import delta_uv_prime, stops, through, uv_of_xyz
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.colour.observer.loci import C2, planckian
from advisor.colour.spectra.gels import transmittances
from advisor.colour.spectra.sources import ensemble

LOOP_CHROMATICITY = 2e-5
"""How far the plain loop may be off: a fiftieth of a step. [Δu′v′]"""
LOOP_STOPS = 2e-5
WIEN_BAR = 1.5
"""Within this the filter does its nominal on a Planckian source of 3 200 K. [MK⁻¹]"""

LABELS = {
    "CTO full": (134.0, 0.0),
    "CTO 1/2": (67.0, 0.0),
    "CTB full": (-134.0, 0.0),
    "CTB 1/4": (-33.0, 0.0),
    "Plus green 1/2": (0.0, 15.0),
    "Minus green 1/2": (0.0, -15.0),
    "Minus green 1/8": (0.0, -3.5),
    "both": (67.0, 15.0),
}
STACKS = [
    (),
    ("CTO full",),
    ("CTB full",),
    ("both",),
    ("CTO full", "Plus green 1/2"),
    ("CTB full", "Minus green 1/8"),
    ("CTB 1/4", "Plus green 1/2"),
    ("CTO 1/2", "Minus green 1/2", "Minus green 1/8"),
]
SOURCES = [
    ("tungsten", 3200, 0.0),
    ("daylight", 5600, 0.0033),
    ("discharge", 5800, 0.002),
    ("led-white", 5400, -0.003),
    ("led-mix", 4000, 0.003),
    ("fluorescent", 4200, 0.006),
    ("fluorescent-triband", 4000, 0.002),
    ("sodium", 2100, 0.001),
    ("unknown", 4800, 0.01),
]


def gels():
    mired, cc = np.array(list(LABELS.values())).T
    return dict(zip(LABELS, transmittances(mired, cc, np.full(len(mired), np.nan)), strict=True))


def source(kind, cct, duv):
    return ensemble(kind, uv_of_cct_duv(np.array(float(cct)), np.array(duv))).spectra[:3]


@pytest.mark.parametrize(("kind", "cct", "duv"), SOURCES)
def test_prediction_is_what_a_plain_loop_at_1_nm_finds(kind, cct, duv):
    spectra, known = source(kind, cct, duv), gels()
    assert len(spectra) >= 1
    products = np.array([np.prod([known[g] for g in stack] or [np.ones(81)], axis=0) for stack in STACKS])
    light = through(spectra, products)
    fine_gels = {name: outside.at_1_nm(WAVELENGTHS, values)[1] for name, values in known.items()}
    for k, spectrum in enumerate(spectra):
        wavelengths, bare = outside.at_1_nm(WAVELENGTHS, spectrum)
        bare_xyz = outside.xyz(wavelengths, bare)
        for i, stack in enumerate(STACKS):
            behind = bare.copy()
            for name in stack:
                behind = behind * fine_gels[name]
            xyz = outside.xyz(wavelengths, behind)
            assert delta_uv_prime(uv_of_xyz(xyz), light.uv[i, k]) < LOOP_CHROMATICITY
            assert stops(light.passed[i, k]) == pytest.approx(-np.log2(xyz[1] / bare_xyz[1]), abs=LOOP_STOPS)


def test_many_at_once_is_one_by_one():
    spectra = np.concatenate([source(*s) for s in SOURCES])
    products = np.array(list(gels().values()))
    light = through(spectra, products)
    assert light.uv.shape == (len(products), len(spectra), 2)
    assert light.passed.shape == (len(products), len(spectra))
    for k in range(len(spectra)):
        for i in range(len(products)):
            one = through(spectra[k : k + 1], products[i : i + 1])
            np.testing.assert_allclose(one.uv[0, 0], light.uv[i, k], atol=1e-12)
            np.testing.assert_allclose(one.passed[0, 0], light.passed[i, k], atol=1e-12)


def test_nothing_in_the_way_changes_nothing():
    uv = uv_of_cct_duv(np.array(5600.0), np.array(0.0033))
    light = through(source("daylight", 5600, 0.0033), np.ones((1, 81)))
    assert light.uv[0, 0] == pytest.approx(uv, abs=1e-8)
    assert stops(light.passed) == pytest.approx(np.zeros((1, 1)))


def test_half_the_light_is_one_stop_and_no_colour():
    spectra = source("led-white", 5400, -0.003)
    light = through(spectra, np.full((1, 81), 0.5))
    assert stops(light.passed) == pytest.approx(np.ones((1, len(spectra))))
    assert light.uv[0] == pytest.approx(through(spectra, np.ones((1, 81))).uv[0])


def wien_filter(shift):
    """Return 10^−D with D linear in 1/λ; the constant is such that no light is added."""
    density = reference("wien-coefficient")["value"] * shift / WAVELENGTHS
    return 10.0 ** -(density - density.min())


def behind_wien(cct, shift):
    return through(planckian(cct)[None], wien_filter(shift)[None]).uv[0, 0]


def test_wiens_coefficient_is_the_constant_of_radiation():
    entry = reference("wien-coefficient")
    assert C2 * 1e-6 * 1e9 * np.log10(np.e) == pytest.approx(entry["value"], abs=entry["tolerance"])


@pytest.mark.parametrize("entry", references("wien-error-3200-"), ids=lambda e: e["id"])
def test_a_wien_filter_does_its_nominal_on_tungsten(entry):
    shift = entry["value"]["shift"]
    cct, _ = cct_duv_of_uv(behind_wien(3200.0, shift))
    error = 1e6 / cct - 1e6 / 3200 - shift
    assert abs(error) < WIEN_BAR
    assert error == pytest.approx(entry["value"]["error"], abs=entry["tolerance"])


@pytest.mark.parametrize("entry", references("wien-error-"), ids=lambda e: e["id"])
def test_how_far_a_wien_filter_is_off_on_planckian_light(entry):
    cct, shift, error = (entry["value"][part] for part in ("cct", "shift", "error"))
    # colour-science's search also reaches beyond 25 000 K, where strong blue on daylight ends.
    [after], _ = outside.cct_duv(behind_wien(cct, shift)[None])
    assert 1e6 / after - 1e6 / cct - shift == pytest.approx(error, abs=entry["tolerance"])


def test_strong_blue_on_daylight_fails_by_25_mired():
    uv = behind_wien(5600.0, -133.93)
    [after], _ = outside.cct_duv(uv[None])
    assert 1e6 / after - 1e6 / 5600 + 133.93 == pytest.approx(-25, abs=0.5)
    # Mired arithmetic promises 22 400 K; the light is so blue that it has no CCT here at all.
    assert np.isnan(cct_duv_of_uv(uv)[0])
