"""Colour rendering indices of many spectra at once, to weigh ensembles by what a meter printed.

For one spectrum that is shown to a person, `rendition` asks colour-science; this is the same published
method for forty spectra in a few milliseconds instead of half a second. A test holds the two together.

References
----------
CIE 13.3-1995: test colour method; W*U*V* (CIE 1964), von Kries adaptation by c and d, R = 100 − 4.6 ΔE.
CIE 224 / JIS Z 8726 sample 15, as colour-science carries it ("CIE 2024").
"""

from functools import cache

import numpy as np

from ..observer.cct import cct_duv_of_uv
from ..observer.chromaticity import uv_of_xyz
from ..observer.data import Array, test_colours
from ..observer.grid import all_to_grid, weights
from ..observer.loci import daylight, planckian

_DAYLIGHT_FROM = 5000.0
"""The reference illuminant is daylight from here on, Planckian below. [K] CIE 13.3-1995, 5.2."""


def special_indices(spectra: Array) -> Array:
    """Return R1 to R15, shape (k, 15), of spectra (k, 81) on the grid that are of about one chromaticity.

    The reference is that of the first spectrum's CCT. NaN where it has none.
    """
    white = uv_of_xyz(spectra[0] @ weights())
    cct = float(cct_duv_of_uv(white)[0])
    if not np.isfinite(cct):
        return np.full((len(spectra), 15), np.nan)
    reference = daylight(cct) if cct >= _DAYLIGHT_FROM else planckian(cct)
    samples = _samples()
    lit = np.einsum("kn,sn,nc->ksc", spectra, samples, weights())
    ideal = np.einsum("n,sn,nc->sc", reference, samples, weights())
    white_lit, white_ideal = spectra @ weights(), reference @ weights()
    wuv_ideal = _wuv(ideal, white_ideal, uv_of_xyz(white_ideal), uv_of_xyz(ideal))
    adapted = _adapted(uv_of_xyz(lit), uv_of_xyz(white_lit)[:, None, :], uv_of_xyz(white_ideal))
    wuv_lit = _wuv(lit, white_lit[:, None, :], uv_of_xyz(white_ideal), adapted)
    return np.asarray(100.0 - 4.6 * np.linalg.norm(wuv_lit - wuv_ideal, axis=-1))


def general_index(special: Array) -> Array:
    """Return Ra, the mean of R1 to R8, over the last axis."""
    return np.asarray(special[..., :8].mean(axis=-1))


def _wuv(xyz: Array, white: Array, white_uv: Array, uv: Array) -> Array:
    """Return CIE 1964 W*, U*, V* of samples with luminance relative to `white`."""
    lightness = 25.0 * np.cbrt(100.0 * xyz[..., 1] / white[..., 1]) - 17.0
    return np.concatenate([lightness[..., None], 13.0 * lightness[..., None] * (uv - white_uv)], axis=-1)


def _adapted(uv: Array, white: Array, reference: Array) -> Array:
    """Carry (u, v) under `white` to adaptation to `reference` (CIE 13.3-1995, 5.7)."""
    c, d = _cd(uv)
    c_scale, d_scale = (r / w for r, w in zip(_cd(reference), _cd(white), strict=True))
    c, d = c * c_scale, d * d_scale
    below = 16.518 + 1.481 * c - d
    return np.stack([(10.872 + 0.404 * c - 4.0 * d) / below, 5.520 / below], axis=-1)


def _cd(uv: Array) -> tuple[Array, Array]:
    u, v = uv[..., 0], uv[..., 1]
    return (4.0 - u - 10.0 * v) / v, (1.708 * v + 0.404 - 1.481 * u) / v


@cache
def _samples() -> Array:
    """Return the reflectances of the test colours on the grid, (15, 81)."""
    return all_to_grid(test_colours())
