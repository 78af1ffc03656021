"""The measured lamps of the check, for its tests."""

import pytest

from tests.accuracy.lamps import Lamp, NoData, lamps


@pytest.fixture(scope="session")
def odd() -> list[Lamp]:
    """The lamps of the odd rows, which are reported; without data their tests are skipped."""
    try:
        found = lamps()
    except NoData as no:
        pytest.skip(f"the accuracy check has no measured lamps: {no}")
    return [lamp for lamp in found if lamp.odd]
