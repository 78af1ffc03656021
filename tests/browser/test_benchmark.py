"""The benchmark that needs a browser still runs."""

import pytest
from playwright.sync_api import Browser

from tests.benchmarks.test_benchmarks import IN_A_BROWSER, LAST, last_lines, ran


@pytest.mark.parametrize("name", IN_A_BROWSER)
def test_a_short_round_runs_to_its_end(browser: Browser, name: str):
    assert LAST[name] in last_lines(ran(name, "--short"))
