"""Daylight that was read on another day is metered before anything is hung; hours later that is a nudge.

The window and the lamp are an invented scenario.
"""

from datetime import UTC, datetime, timedelta

import pytest

from advisor.model import Kind, LightSet, Reading, Source, Stage, Target
from advisor.web.plans import sky


@pytest.fixture
def loft(sample, stores):
    """Keep a set with a window and a lamp that match bare; return its number and theirs."""
    matching = Reading(cct=5610, duv=0.0030)
    sources = [
        Source(name="Skylight", kind=Kind.DAYLIGHT, reading=matching),
        Source(name="Panel", kind=Kind.LED_WHITE, reading=matching),
    ]
    set_id = stores.sets.create_set(LightSet(name="Loft", target=Target(cct=5600), sources=sources))
    return set_id, *(stored.id for stored in stores.sets.get_set(set_id).sources)


@pytest.fixture
def later(monkeypatch):
    """Let time pass."""

    def wait(**time):
        monkeypatch.setattr(sky, "clock", lambda: datetime.now(UTC) + timedelta(**time))

    return wait


def first_screen(page):
    return page.text.split("New reading")[0]


def test_daylight_of_another_day_is_metered_before_anything_is_hung(loft, later, get, read):
    set_id, window, _ = loft
    assert "2 left alone" in get(f"/sets/{set_id}").text
    later(days=1)
    board = get(f"/sets/{set_id}")
    assert "1 to meter" in board.text and "1 left alone" in board.text
    assert board.row(1).startswith("To meter: 1 Skylight meter it, read on another day Read ")
    assert "matches" not in board.row(1) and "matches" in board.row(2)
    page = get(f"/sources/{window}")
    told = first_screen(page)
    assert "Meter it" in told and ": meter it" in told
    assert "Stays bare" not in told and "Matched" not in told and "matches" not in told
    later(days=0)
    assert "Matched, bare" in first_screen(read("5610", "0.0030", number=window))


def test_hours_later_it_is_a_nudge_and_stays_confirmed(loft, later, act, read, get, stores, monkeypatch):
    set_id, window, lamp = loft
    act("hung", ["CTO 1/8"], number=window)
    read("5610", "0.0030", number=window, behind="hung", hung="CTO 1/8")
    assert stores.sets.get_source(window).source.work.stage is Stage.CONFIRMED
    assert "h ago" not in get(f"/sets/{set_id}").text
    later(hours=5)
    monkeypatch.setattr(sky, "is_of_another_day", lambda stored: False)  # in the evening it would be
    board, told = get(f"/sets/{set_id}"), first_screen(get(f"/sources/{window}"))
    assert "Read 5 h ago, meter it" in board.row(2) + board.row(1) and "Read 5 h ago, meter it" in told
    assert "Matched" in told
    assert "h ago" not in first_screen(get(f"/sources/{lamp}"))


def test_minutes_after_midnight_it_is_still_the_light_of_now(loft, get, monkeypatch):
    set_id, _window, _ = loft
    read = datetime(2026, 11, 29, 23, 50).astimezone(UTC)
    monkeypatch.setattr(sky, "_read_at", lambda stored: read)
    monkeypatch.setattr(sky, "clock", lambda: read + timedelta(minutes=20))
    assert "2 left alone" in get(f"/sets/{set_id}").text
    monkeypatch.setattr(sky, "clock", lambda: read + timedelta(minutes=70))
    assert "to meter" in get(f"/sets/{set_id}").text
