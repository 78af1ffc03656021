"""Answers that many tests look at, worked out once."""

import pytest

from advisor.advice.common_white.find import common_whites
from advisor.model import (
    Limits,
    Target,
)
from tests.advice.green_ceiling import KEY, ROWS, TUBES, TWO


@pytest.fixture(scope="session")
def ceiling():
    """Eight greenish tubes that cannot be reached, and one key of daylight that can."""
    return common_whites([*TUBES, KEY], Target(cct=5600), Limits(), ROWS, tints=True)


@pytest.fixture(scope="session")
def two():
    return common_whites(TWO, Target(cct=5600), Limits(), ROWS, tints=True)
