"""Swatches: the colour of a gel against daylight, computed from its transmittance."""

import re

from advisor.advice.pictures.swatches import swatches
from advisor.model import Gel


def rgb(colour):
    return tuple(int(part, 16) for part in re.findall("[0-9a-f]{2}", colour))


def test_a_gel_that_warms_is_redder_than_blue_and_one_that_cools_the_reverse():
    found = swatches(
        (Gel(family="CTO", fraction="full", mired=160), Gel(family="CTB", fraction="full", mired=-160))
    )
    red, _, blue = rgb(found["CTO full"])
    assert red > blue + 60
    red, _, blue = rgb(found["CTB full"])
    assert blue > red + 60


def test_green_and_magenta_are_told_apart():
    found = swatches(
        (Gel(family="Plus green", fraction="full", cc=30), Gel(family="Minus green", fraction="full", cc=-30))
    )
    red, green, blue = rgb(found["Plus green full"])
    assert green > max(red, blue)
    red, green, blue = rgb(found["Minus green full"])
    assert green < min(red, blue)


def test_a_neutral_of_one_stop_passes_half_the_light():
    """Half the luminance is 188 in sRGB (IEC 61966-2-1): 255 × (1.055 × 0.5^(1/2.4) − 0.055) = 187.5."""
    [colour] = swatches((Gel(family="ND", fraction="0.3", stops=1.0),)).values()
    assert all(abs(part - 187.5) <= 2 for part in rgb(colour))


def test_no_gels_no_swatches():
    assert swatches(()) == {}
