"""Spectra onto the 5 nm grid: interpolation, summing, and lines that fall between two samples."""

import numpy as np
import outside
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.colour.observer.chromaticity import delta_uv_prime, uv_of_xyz
from advisor.colour.observer.data import observer
from advisor.colour.observer.data import published as spectrum_of
from advisor.colour.observer.grid import WAVELENGTHS, lagrange, to_grid, weights, xyz_of_samples
from advisor.colour.observer.loci import planckian

FINE = np.arange(380.0, 781.0)
COEFFICIENTS = st.lists(st.floats(-5.0, 5.0), min_size=4, max_size=4)


def line_at(wavelength, wavelengths=FINE):
    return np.where(wavelengths == wavelength, 1.0, 0.0)


@given(COEFFICIENTS)
def test_cubics_are_interpolated_exactly(coefficients):
    nodes, wanted = np.linspace(-1.0, 1.0, 12), np.linspace(-0.8, 0.8, 31)
    values = lagrange(nodes, wanted) @ np.polyval(coefficients, nodes)
    assert values == pytest.approx(np.polyval(coefficients, wanted), abs=1e-9)


def test_samples_are_kept_and_the_ends_held():
    nodes = np.array([400.0, 403.0, 410.0, 420.0, 421.0])
    values = np.array([1.0, 5.0, 2.0, 7.0, 3.0])
    assert lagrange(nodes, nodes) @ values == pytest.approx(values)
    assert lagrange(nodes, np.array([300.0, 399.0, 422.0, 900.0])) @ values == pytest.approx([1, 1, 3, 3])


@pytest.mark.parametrize("n", [2, 3, 4])
def test_few_samples_are_enough(n):
    nodes = np.linspace(400.0, 700.0, n)
    assert lagrange(nodes, np.array([450.0])) @ nodes == pytest.approx([450.0])


def test_summing_on_the_grid_is_summing_at_1_nm():
    spectrum = 1.0 + np.sin(WAVELENGTHS / 60.0)
    fine = lagrange(WAVELENGTHS, observer().wavelengths) @ spectrum
    assert spectrum @ weights() == pytest.approx(fine @ observer().values)


@pytest.mark.parametrize("name", ["A", "D65", "FL2", "FL11", "HP1", "LED-B3"])
def test_tristimulus_values_are_those_of_astm_e308(name):
    published = spectrum_of(name)
    uv = uv_of_xyz(outside.xyz(*published))
    # E308's own tables stop at 780 nm and use another interpolation at the ends: 1e-5 is left of it.
    assert delta_uv_prime(uv_of_xyz(xyz_of_samples(*published)), uv) < 2e-5
    assert delta_uv_prime(uv_of_xyz(to_grid(*published) @ weights()), uv) < 2e-5


def test_a_spectrum_on_the_grid_stays_as_it_is():
    values = np.arange(81.0)
    on_grid = to_grid(WAVELENGTHS, values)
    assert on_grid.tolist() == values.tolist()
    on_grid[0] = 7.0
    assert values[0] == 0.0


@pytest.mark.parametrize("step", [1.0, 2.0, 5.0, 7.0, 10.0])
def test_equal_energy_stays_equal_energy(step):
    wavelengths = np.arange(380.0, 781.0, step)
    assert to_grid(wavelengths, np.full(len(wavelengths), 3.0)) == pytest.approx(np.full(81, 3.0))


@pytest.mark.parametrize("step", [1.0, 2.0, 10.0])
def test_a_smooth_spectrum_keeps_its_colour(step):
    wavelengths = np.arange(360.0, 831.0, step)
    values = np.exp(-(((wavelengths - 590.0) / 120.0) ** 2))
    uv = uv_of_xyz(to_grid(wavelengths, values) @ weights())
    assert delta_uv_prime(uv, uv_of_xyz(xyz_of_samples(wavelengths, values))) < 3e-4


@pytest.mark.parametrize("wavelength", [436.0, 437.0, 546.0, 577.0, 578.0, 579.0, 611.0])
def test_no_line_falls_between_two_samples(wavelength):
    on_grid = to_grid(FINE, line_at(wavelength))
    assert on_grid.sum() * 5.0 == pytest.approx(1.0)
    assert on_grid @ WAVELENGTHS / on_grid.sum() == pytest.approx(wavelength)


@pytest.mark.parametrize("step", [2.0, 10.0])
def test_nothing_rings_below_zero_beside_a_line(step):
    wavelengths = np.arange(380.0, 781.0, step)
    assert to_grid(wavelengths, line_at(540.0, wavelengths)).min() == 0.0


def test_coarse_samples_are_kept_on_the_grid():
    wavelengths = np.arange(380.0, 781.0, 10.0)
    values = np.linspace(1.0, 2.0, len(wavelengths)) ** 3
    assert to_grid(wavelengths, values)[::2] == pytest.approx(values)


def test_a_shorter_spectrum_is_held_at_its_ends():
    on_grid = to_grid(np.arange(400.0, 701.0), np.linspace(1.0, 4.0, 301))
    assert on_grid[:4] == pytest.approx(np.ones(4))
    assert on_grid[-16:] == pytest.approx(np.full(16, 4.0))


@pytest.mark.parametrize(
    ("cct", "shares", "steps"),
    # What model/curve.py says of curves that reach from 400 to 700 nm only: [%] of X, Y, Z, and steps.
    [
        (1000.0, (2.6, 1.8, 0.0027), 0.91),
        (2000.0, (0.5, 0.23, 0.07), 0.074),
        (5600.0, (0.21, 0.05, 0.42), 0.011),
        (25000.0, (0.38, 0.03, 0.77), 0.056),
    ],
)
def test_what_lies_beyond_400_to_700_nm_is_little(cct, shares, steps):
    fine = observer()
    spectrum = planckian(cct, fine.wavelengths)
    beyond = (fine.wavelengths < 400) | (fine.wavelengths > 700)
    whole = spectrum @ fine.values
    assert spectrum[beyond] @ fine.values[beyond] / whole * 100 == pytest.approx(shares, rel=0.1)
    held = np.interp(fine.wavelengths, fine.wavelengths[~beyond], spectrum[~beyond]) @ fine.values
    assert delta_uv_prime(uv_of_xyz(held), uv_of_xyz(whole)) / 0.0011 == pytest.approx(steps, rel=0.02)
