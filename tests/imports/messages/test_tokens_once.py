"""A line of a paste is made into tokens once or twice, and not anew with each line that stands beside it."""

import contextlib

import pytest

from advisor.imports import read_anything
from advisor.imports.messages import lines
from advisor.model import Refused

MANY = 60


@pytest.mark.parametrize(
    ("line", "times"),
    [
        ("5480 0.004 850 12 {}", 1),
        ("{} 44 5480 12 12", 1),
        ("5480 +3 / 3200 -1 / 44{} 5", 4),
        ("Key {} 5480 and 12 and 13", 2),
    ],
)
def test_a_line_is_made_into_tokens_once(line, times, monkeypatch):
    made = []

    def counted(text):
        made.append(text)
        return tokens(text)

    tokens = lines.tokens
    monkeypatch.setattr(lines, "tokens", counted)
    with contextlib.suppress(Refused):
        read_anything("\n".join(line.format(i) for i in range(MANY)))
    assert 0 < len(made) <= times * MANY
