"""A test of a head goes on with what is unread; a head on a set is asked about before it is added twice."""

import pytest

from tests.heads import PANEL, READINGS
from tests.heads import TEST as TESTED

TEST = {"levels": "100, 50 %, 10", "bare": "yes", "modifiers": "dish", "distance": "3", "minutes_on": "20"}


@pytest.fixture
def head(post):
    assert post("/heads/new", {"name": "Panel 3", "kind": "led-white", "group": "Panels"}).status == 200
    return 1


def test_what_is_read_is_passed_over_and_the_last_reading_ends_the_test(head, stores, client, post, get):
    """Two were left out: going on with them must not lead through all that was read, to be overwritten."""
    post(f"/heads/{head}/test", TEST)
    typed = {"cct": "5813", "duv": "-0.0014", "sure": "yes"}
    for step in (0, 2, 3, 5):
        client.post(f"/tests/1?at={step}", data=typed)
    assert client.post("/tests/1?at=1", data=typed).location == "/tests/1?at=4&said=1"
    last = get("/tests/1")
    assert ">Done</button>" in last.html and ">Next</button>" not in last.html
    assert client.post("/tests/1?at=4", data=typed).location == "/tests/1/sheet"
    assert stores.heads.get_test(1).unread == []


def test_a_head_that_is_on_the_set_is_asked_about_before_it_is_added_again(shipped, stores, post, get):
    """One unit twice on a board would be compared with itself."""
    second = stores.heads.add_head(PANEL.model_copy(update={"name": "Panel 4"}))
    stores.heads.take_reading(stores.heads.begin_test(second, TESTED), READINGS[0])
    post("/sets/1/heads", {"one": "1"})

    def names():
        return [s.source.name for s in stores.sets.get_set(1).sources[6:]]

    page = post("/sets/1/heads", {"head": ["1", str(second)]})
    assert page.status == 422
    assert "Panel 3 is on this set already. Add a second time?" in page.text
    assert names() == ["Panel 3"]
    assert "Add the rest only" in page.text
    post("/sets/1/heads", {"head": [str(second)]})
    assert names() == ["Panel 3", "Panel 4"]
    post("/sets/1/heads", {"head": ["1"], "again": "yes"})
    assert names() == ["Panel 3", "Panel 4", "Panel 3 (2)"]
