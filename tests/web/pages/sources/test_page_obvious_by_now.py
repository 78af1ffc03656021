"""A window that moved far while gel hung: what that gel leaves obvious is swapped, and not metered first.

The window and its readings are an invented scenario.
"""

import pytest

from advisor.model import Kind, LightSet, Locus, Reading, Source, Target
from tests.web.page import plain


@pytest.fixture
def told(stores, press, read_as_shown, get):
    """Hang ¼ CTO, which reads right, and read the window bare later; return what its page and board say."""
    source = Source(name="Loft light", kind=Kind.DAYLIGHT, reading=Reading(cct=5700, duv=0.0032, lux=700))
    white = Target(cct=4700, locus=Locus.DAYLIGHT)
    stores.sets.create_set(LightSet(name="Loft", target=white, sources=[source]))
    press("hung", ["CTO 1/4"])
    read_as_shown(cct="4720", duv="0.0021", lux="560", behind="hung")

    def later(cct):
        page = plain(read_as_shown(cct=cct, duv="0.0032", lux="600", behind="bare").text)
        return page.partition("New reading")[0], plain(get("/sets/1").text)

    return later


def test_what_is_obvious_by_now_is_swapped_and_not_metered_first(told):
    page, board = told("7100")
    assert "Hung, to be read again." not in page and "eter it again" not in page
    assert "Swap Loft light" in page or "Add Loft light" in page
    assert "eter it again" not in board.partition("Worst")[0]


def test_what_may_still_do_is_metered_first(told):
    page, board = told("6250")
    assert "eter it again" in page and "meter it again" in board
