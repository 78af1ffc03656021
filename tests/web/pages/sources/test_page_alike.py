"""Lamps alike are asked about once: one answer does for all of them, and one tap undoes it."""

import pytest

from advisor.advice.overview.alike import asked_alike
from advisor.model import Kind, LightSet, Reading, Source, Target
from advisor.web.plans.kept import plan_for
from tests.web.phones import joined, open_app

WHITES = [1970, 1960, 1985, 1975, 1950]


@pytest.fixture
def street(stores):
    """Five practicals of one kind, a lamp far off that is asked the same, and a window of a known kind."""
    lamps = [
        Source(name=f"Practical {k}", reading=Reading(cct=cct, duv=-0.0004))
        for k, cct in enumerate(WHITES, 1)
    ]
    other = Source(name="Torch", reading=Reading(cct=1650, duv=0.004))
    window = Source(name="Window", kind="daylight", reading=Reading(cct=5600, duv=0.003))
    sources = [*lamps, other, window]
    return stores.sets.create_set(LightSet(name="Street", target=Target(cct=3200), sources=sources))


def _kinds(stores, set_id):
    return [one.source.kind.value for one in stores.sets.get_set(set_id).sources]


def _answer(page, post, kind):
    alike = dict(page.ticked).get("alike", "")
    return post("/sources/1/kind", {"kind": kind, "revision": "1", "alike": alike})


def test_who_is_alike(street, client, stores):
    with client.application.test_request_context():
        plan = plan_for(stores.sets.get_set(street))
        assert asked_alike(plan, 0) == [1, 2, 3, 4]
        assert asked_alike(plan, 5) == [] and asked_alike(plan, 6) == []


def test_other_names_with_the_same_reading_are_alike(stores, client):
    read = [("Bar", 1970), ("Porch", 1971), ("Barn", 2150)]
    sources = [Source(name=name, reading=Reading(cct=cct, duv=0.0)) for name, cct in read]
    set_id = stores.sets.create_set(LightSet(name="Yard", target=Target(cct=3200), sources=sources))
    with client.application.test_request_context():
        assert asked_alike(plan_for(stores.sets.get_set(set_id)), 0) == [1]


def test_one_answer_does_for_all(street, get, post, stores):
    page = get("/sources/1")
    assert "Practical 2, Practical 3, Practical 4 and Practical 5 too" in page.text
    assert ("alike", "2 3 4 5") in page.ticked
    done = _answer(page, post, "sodium")
    assert _kinds(stores, street) == ["sodium"] * 5 + ["unknown", "daylight"]
    assert "5 heads: sodium" in done.text.lower()


def test_one_tap_undoes_it(street, get, post, stores, client):
    _answer(get("/sources/1"), post, "sodium")
    changes = [change for change in stores.sets.history(street) if change.what == "source.changed"]
    assert len(changes) == 5
    post(f"/sets/{street}/changes/undo", {"change": [str(c.id) for c in changes], "head": "1"})
    assert _kinds(stores, street)[:5] == [Kind.UNKNOWN.value] * 5


def test_who_unticks_them_answers_for_one(street, post, stores):
    post("/sources/1/kind", {"kind": "tungsten", "revision": "1"})
    assert _kinds(stores, street)[:2] == ["tungsten", "unknown"]


def test_who_said_more_meanwhile_keeps_it(street, get, post, stores):
    page = get("/sources/1")
    post("/sources/3/kind", {"kind": "tungsten", "revision": "1"})
    _answer(page, post, "sodium")
    assert _kinds(stores, street)[:5] == ["sodium", "sodium", "tungsten", "sodium", "sodium"]


class TestWhoMayMeter:
    @pytest.fixture
    def app(self, tmp_path, closing):
        return closing(open_app(tmp_path / "data"))

    def test_takes_back_the_answer_and_nothing_else(self, app, street, stores):
        browser = joined(app, "meter")
        browser.open("/sources/1")
        browser.post("/sources/1/kind", {"kind": "sodium", "revision": "1", "alike": "2 3 4 5"})
        answered = [str(c.id) for c in stores.sets.history(street) if c.what == "source.changed"]
        assert _kinds(stores, street)[:5] == ["sodium"] * 5 and len(answered) == 5
        stores.sets.change_source(7, {"note": "left of the door"})
        noted = str(stores.sets.history(street)[-1].id)
        path = f"/sets/{street}/changes/undo"
        refused = browser.post(path, {"change": [*answered, noted], "head": "1"})
        assert refused.status_code == 422 and _kinds(stores, street)[:5] == ["sodium"] * 5
        assert stores.sets.get_source(7).source.note == "left of the door"
        assert browser.post(path, {"change": answered, "head": "1"}).status_code == 302
        assert _kinds(stores, street)[:5] == [Kind.UNKNOWN.value] * 5
