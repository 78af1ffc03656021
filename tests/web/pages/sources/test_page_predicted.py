"""“Predicted” beside a reading is what was predicted before it, whatever was said of the gel since.

The lamp and its readings are invented.
"""

import re

import pytest

from tests.web.mending import LAMP

HUNG = "CTB full"


def predicted(page):
    """What stands behind “Predicted:”: kelvins, Duv, and lux."""
    said = re.search(r"Predicted: ([\d\s]+) K, Duv ([\S]+)\s+· ([\d\s]+) lx", page.text)
    assert said, page.text
    kelvins, duv, lux = said.groups()
    return int("".join(kelvins.split())), duv, int("".join(lux.split()))


@pytest.fixture
def hung(hang, metered):
    """Behind a full CTB, which was read there as predicted."""
    hang(HUNG)
    return metered(HUNG)


@pytest.fixture
def moved(post):
    """Meter it behind what hangs, far from that."""

    def do(cct="4310", lux="520"):
        return post("/sources/1/reading", {"cct": cct, "duv": "0.0020", "lux": lux, "behind": "hung"})

    return do


@pytest.fixture
def fine(hung, moved, post):
    """It read otherwise since, and somebody looked: the gel is fine, so the lamp changed."""
    moved()
    return post("/sources/1/gel", {"of": HUNG, "instead": HUNG, "hung": HUNG})


def test_the_gel_is_fine_leaves_what_was_predicted(hung, fine):
    assert "The light changed" in fine.text
    assert predicted(fine) == predicted(hung)
    assert "brighter than predicted" in fine.text and predicted(fine)[2] < 520
    assert "from the prediction" not in fine.text, "what is worked out from the reading agrees with it"


def test_the_next_reading_is_not_its_own_prediction(hung, fine, moved):
    again = moved("4480", "470")
    assert predicted(again) == predicted(hung)
    assert "brighter than predicted" in again.text


def test_read_bare_since_it_is_predicted_from_that(fine, post):
    """Then it is a prediction again, made without what was read behind the gel."""
    bare = {"cct": "2750", "duv": "0.0005", "lux": "1480", "behind": "bare"}
    page = post("/sources/1/reading", bare)
    assert "Predicted: 4 300" not in page.text


def test_what_really_hung_is_predicted_from_the_bare_reading(hang, moved, post):
    """A weaker sheet hung: its prediction knows nothing of what was read behind it."""
    hang(HUNG)
    moved("4175", "440")
    post("/sources/1/gel", {"of": HUNG, "instead": "CTB 1/2", "hung": HUNG})
    first = predicted(moved("4250", "450"))
    assert predicted(moved("4390", "420")) == first
    assert abs(first[0] - 4100) <= 100


@pytest.mark.parametrize("field", ["name", "note"])
def test_another_name_changes_nothing_of_it(hung, fine, get, stores, field):
    stores.sets.change_source(1, {field: "Left of the door"})
    assert predicted(get("/sources/1")) == predicted(hung)


def test_the_lamp_is_as_assumed(hung):
    """What the fixtures rest on: a tungsten lamp behind a full CTB, near 5 600 K."""
    assert abs(predicted(hung)[0] - 5600) <= 50 and LAMP.max() > 0
