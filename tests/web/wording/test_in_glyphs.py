"""How far off, in signs: where there is room for a few words only."""

import pytest

from advisor.web.wording.short import off_as


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("between an eighth and a quarter CTO too warm", "⅛ to ¼ CTO warm"),
        ("between a half and three quarters CTO warmer", "½ to ¾ CTO warm"),
        (
            "between a full and one and a half CTB too warm, about a quarter green",
            "full to 1½ CTB warm, ¼ green",
        ),
        ("between one and a half and two full CTO too cool", "1½ to 2 CTO cool"),
        ("a little over one and a half CTO too cool", "over 1½ CTO cool"),
        ("more than two full CTB too warm", "more than 2 CTB warm"),
    ],
)
def test_a_range_keeps_both_of_its_ends(words, said):
    assert off_as(words) == said
