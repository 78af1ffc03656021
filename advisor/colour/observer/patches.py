"""Colours for the screen: how light looks to an eye, or a camera, that is set to a white.

References
----------
Bradford transform: Lam (1985), as in ICC.1:2022, annex E (matrix rounded to four places).
IEC 61966-2-1:1999: sRGB primaries (D65) and transfer curve.
"""

from functools import cache

import numpy as np

from .chromaticity import xyz_of_uv
from .data import Array, test_colours
from .grid import to_grid

_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
_XYZ_TO_RGB = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
_D65_CONES = _BRADFORD @ np.array([0.3127 / 0.3290, 1.0, (1.0 - 0.3127 - 0.3290) / 0.3290])
"""D65 (x 0.3127, y 0.3290) as Bradford's three cones see it."""


def hex_of_light(uv: Array, white_uv: Array, luminance: float = 0.72) -> str:
    """Return ``#rrggbb`` for light of `uv` as seen by an eye adapted to `white_uv`, both (2,)."""
    [text] = hexes_of_light(uv[None], white_uv[None], np.array([luminance]))
    return text


def hexes_of_light(uv: Array, white_uv: Array, luminance: Array) -> list[str]:
    """Return ``#rrggbb`` for lights of `uv` (n, 2), each as seen by an eye adapted to its `white_uv` (n, 2).

    `luminance` (n,) is the patches', relative to the screen's white. Out-of-gamut light is drawn at the
    nearest edge by mixing in grey of the same luminance, so that its hue stays.
    """
    light, white = xyz_of_uv(np.stack([uv, white_uv]))
    rgb = (_adapt(light, white) * luminance[:, None]) @ _XYZ_TO_RGB.T
    low, high = rgb.min(axis=1), rgb.max(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        inside = np.where(low < 0, luminance / (luminance - low), 1.0)
        share = np.minimum(inside, np.where(high > 1, (1 - luminance) / (high - luminance), 1.0))
    grey = luminance[:, None]
    rgb = np.clip(grey + share[:, None] * (rgb - grey), 0.0, 1.0)
    encoded = np.where(rgb <= 0.0031308, 12.92 * rgb, 1.055 * rgb ** (1 / 2.4) - 0.055)
    return ["#" + "".join(f"{round(c * 255):02x}" for c in one) for one in encoded.tolist()]


@cache
def skin() -> Array:
    """Return a light skin's reflectance (81,): test colour 13 of CIE 13.3-1995."""
    reflectance = np.clip(to_grid(*test_colours()[12]), 0.0, 1.0)
    reflectance.setflags(write=False)
    return reflectance


def _adapt(xyz: Array, white: Array) -> Array:
    """Carry X, Y, Z (n, 3) from adaptation to `white` (n, 3) into adaptation to D65, by Bradford's cones."""
    scale = _D65_CONES / (white @ _BRADFORD.T)
    return np.asarray(np.linalg.solve(_BRADFORD, (scale * (xyz @ _BRADFORD.T)).T).T)
