"""How far off in one short line, in the nearest fractions."""

import pytest

from advisor.advice.wording.glyphs import beside_in_glyphs, nearest_glyph
from advisor.advice.wording.ladder import Ladder

SIZES = (20.0, 40.0, 80.0, 110.0, 160.0)
GREEN = (0.0035, 0.007, 0.014, 0.021, 0.028)
LADDER = Ladder(SIZES, SIZES, GREEN, GREEN)


@pytest.mark.parametrize(
    ("size", "said"),
    [
        (0, ""),
        (9.9, ""),
        (10, "⅛"),
        (29, "⅛"),
        (31, "¼"),
        (61, "½"),
        (96, "¾"),
        (136, "full"),
        (199, "full"),
        (201, "1½"),
        (281, "2"),
        (359, "2"),
        (361, "over 2"),
    ],
)
def test_the_nearest_fraction(size, said):
    assert nearest_glyph(size, SIZES) == said


@pytest.mark.parametrize(
    ("mired", "duv", "said"),
    [
        (41, 0.0034, "¼ CTO warm, ⅛ green"),
        (-158, -0.0071, "full CTB cool, ¼ magenta"),
        (0, 0.014, "½ green"),
        (82, 0.001, "½ CTO warm"),
        (9, 0.001, "a touch warm"),
        (-2, -0.001, "a touch magenta"),
    ],
)
def test_both_ways_and_what_is_less_than_half_an_eighth(mired, duv, said):
    assert beside_in_glyphs(mired, duv, LADDER) == said
