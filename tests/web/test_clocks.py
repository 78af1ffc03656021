"""A clock that jumps, of the laptop or of a phone: nothing is lost or misordered, and nobody is put out."""

from datetime import UTC, datetime, timedelta

import pytest

from advisor.store.crew import answers
from advisor.store.file import database
from advisor.web.access import sessions
from advisor.web.api import sets as api_sets
from advisor.web.forms import taken
from tests.bakery import bakery
from tests.web.phones import host, joined, open_app

NOON = datetime(2026, 3, 14, 12, tzinfo=UTC)
JUMPS = {"back an hour": timedelta(hours=-1), "forward a day": timedelta(days=1)}
MODULES = (database, taken, answers, sessions, api_sets)
"""Those that ask what time it is, and what follows is kept or let in by it."""


@pytest.fixture
def clock(monkeypatch):
    """The laptop's clock, which a test sets: [now]."""
    now = [NOON]

    class Set(datetime):
        @classmethod
        def now(cls, tz=None):
            return now[0].astimezone(tz)

    for module in MODULES:
        monkeypatch.setattr(module, "datetime", Set)
    return now


@pytest.fixture
def app(tmp_path, closing, clock):
    app = closing(open_app(tmp_path / "data"))
    app.extensions["advisor"].sets.create_set(bakery())
    return app


@pytest.fixture
def phone(app):
    return joined(app, "change")


def meter(browser, cct, key="", **more):
    headers = {"Idempotency-Key": key} if key else {}
    data = {"cct": str(cct), "duv": "0.001", **more}
    answer = browser.post("/sources/2/reading", data, headers=headers)
    assert answer.status_code in (302, 303)


def kept(app):
    """What was read of the source, in the order in which it is kept."""
    return [stored.reading.cct for stored in app.extensions["advisor"].sets.readings_of(2)]


@pytest.mark.parametrize("jump", JUMPS.values(), ids=list(JUMPS))
def test_what_comes_in_later_is_the_newer_whatever_the_laptops_clock_says(app, phone, clock, jump):
    meter(phone, 5100)
    clock[0] += timedelta(minutes=1)
    meter(phone, 5200)
    clock[0] += jump
    meter(phone, 5300)
    clock[0] += timedelta(minutes=1)
    meter(phone, 5400)
    clock[0] -= jump
    meter(phone, 5500)
    assert kept(app)[-5:] == [5100, 5200, 5300, 5400, 5500]
    assert app.extensions["advisor"].sets.get_source(2).source.reading.cct == 5500


@pytest.mark.parametrize("jump", JUMPS.values(), ids=list(JUMPS))
def test_nobody_is_put_out(app, phone, clock, jump):
    laptop = host(app)
    clock[0] += jump
    assert phone.get("/sets/1").status_code == 200
    meter(phone, 5600)
    assert laptop.get("/host").status_code == 200
    clock[0] -= jump
    assert phone.get("/sets/1").status_code == 200


@pytest.mark.parametrize("jump", JUMPS.values(), ids=list(JUMPS))
def test_a_write_that_is_sent_again_is_done_once(app, phone, clock, jump):
    before = len(kept(app))
    meter(phone, 5100, key="written-before-the-jump")
    clock[0] += jump
    answers.prune(app.extensions["database"])
    meter(phone, 5100, key="written-before-the-jump")
    assert len(kept(app)) == before + 1


def test_a_phone_whose_clock_was_set_back_says_nothing_of_the_time(app, phone, clock):
    meter(phone, 5100)
    clock[0] += timedelta(minutes=1)
    noon = int(NOON.timestamp() * 1000)
    meter(phone, 5200, taken=noon, sent=noon - 3_600_000)
    assert kept(app)[-2:] == [5100, 5200]


def test_it_does_not_matter_what_time_a_phone_takes_it_to_be(app, phone, clock):
    clock[0] += timedelta(hours=2)
    meter(phone, 5100)
    tomorrow = int((NOON + timedelta(days=1)).timestamp() * 1000)
    meter(phone, 5200, taken=tomorrow, sent=tomorrow + 600_000)
    readings = app.extensions["advisor"].sets.readings_of(2)[-2:]
    assert [stored.reading.cct for stored in readings] == [5200, 5100], "it was taken ten minutes before"
    assert readings[0].taken_at[:16] == "2026-03-14T13:50"
