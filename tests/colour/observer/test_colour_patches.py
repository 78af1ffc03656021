"""Patches for the screen."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.patches import hex_of_light


def at(cct, duv=0.0):
    return uv_of_cct_duv(np.array(float(cct)), np.array(duv))


def rgb(*args, **options):
    text = hex_of_light(*args, **options)
    assert re.fullmatch("#[0-9a-f]{6}", text)
    return [int(text[i : i + 2], 16) for i in (1, 3, 5)]


@pytest.mark.parametrize("white", [(1000, 0.0), (3200, 0.0), (5600, 0.0033), (25000, -0.03)])
@pytest.mark.parametrize("luminance", [0.18, 0.72, 1.0])
def test_the_white_itself_is_neutral(white, luminance):
    patch = rgb(at(*white), at(*white), luminance=luminance)
    # The published matrices are rounded to four places: one part of 255 either way.
    assert max(patch) - min(patch) <= 1
    # IEC 61966-2-1's curve, for luminances above 0.0031.
    assert np.mean(patch) == pytest.approx(255 * (1.055 * luminance ** (1 / 2.4) - 0.055), abs=1)


def test_warmer_light_is_redder_and_less_blue():
    patches = [rgb(at(1e6 / mired), at(5600)) for mired in (100, 140, 1e6 / 5600, 210, 260, 312.5)]
    warmth = [red - blue for red, _, blue in patches]
    assert warmth == sorted(warmth) and len(set(warmth)) == len(warmth)
    assert warmth[0] < 0 < warmth[-1]


def test_greener_light_is_greener():
    patches = [rgb(at(5600, duv), at(5600)) for duv in (-0.03, -0.01, 0.0, 0.01, 0.03)]
    greenness = [green - (red + blue) / 2 for red, green, blue in patches]
    assert greenness == sorted(greenness) and len(set(greenness)) == len(greenness)


def test_a_brighter_patch_is_brighter():
    dark, bright = (np.array(rgb(at(4000), at(5600), luminance=share)) for share in (0.2, 0.5))
    assert (bright > dark).all()


@given(st.floats(1000, 25000), st.floats(-0.05, 0.05), st.floats(1000, 25000), st.floats(0.05, 1.0))
@settings(deadline=None)
def test_any_light_under_any_white_has_a_patch(cct, duv, white, luminance):
    rgb(at(cct, duv), at(white), luminance=luminance)


@pytest.mark.parametrize(("cct", "duv"), [(1000, 0.0), (1500, -0.03), (25000, 0.05), (25000, -0.05)])
def test_light_beyond_the_screens_colours_keeps_its_luminance(cct, duv):
    """Mixing in grey keeps it; cutting off what is too much would not."""
    encoded = np.array(rgb(at(cct, duv), at(6500), luminance=0.4)) / 255
    # IEC 61966-2-1: the curve back, and the shares of the three in Y.
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    assert linear @ [0.2126, 0.7152, 0.0722] == pytest.approx(0.4, abs=0.005)


def test_light_beyond_the_screens_colours_keeps_its_hue():
    # Which of the three is largest, and which smallest, stays as the light gets more saturated.
    orders = [np.argsort(rgb(at(cct), at(6500), luminance=0.5)).tolist() for cct in (4000, 2500, 1500, 1000)]
    assert orders == [orders[0]] * 4
