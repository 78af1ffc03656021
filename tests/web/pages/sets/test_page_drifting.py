"""A window that drifts: its board says by when to meter it, and its page how fast it goes."""

import gc
import re
import weakref
from datetime import UTC, datetime, timedelta

import pytest

from advisor.advice.drift_ahead.leaving import DriftAhead
from advisor.advice.drift_ahead.rate import DriftRate
from advisor.web.plans.onward import drifting as worked_out
from advisor.web.plans.onward.drifting import drift_said
from tests.drifting import kept


def times_in(html):
    """The times that a page writes by the hour."""
    return [datetime.fromisoformat(at) for at in re.findall(r'datetime="([^"]+)" data-hour', html)]


@pytest.fixture
def drifting(stores):
    return kept(stores, [190.0, 187.0, 184.0], [60, 30, 0])


def test_the_board_says_by_when_to_meter_it_and_what_shows_then(drifting, get):
    page = get(f"/sets/{drifting[0]}")
    assert re.search(r"Meter Window by \d\d:\d\d", page.text)
    assert re.search(r"About \d\d:\d\d Key shows beside it\.", page.text)
    assert f"/sources/{drifting[1]}" in page.links
    assert re.search(r"Drifts: meter it by \d\d:\d\d", page.row(1))
    by, about, *_ = times_in(page.html)
    now = datetime.now(UTC)
    # At 6 mired an hour: 3 steps are 0.0033 in u′v′, about 5 mired of daylight (hand-worked).
    assert timedelta(minutes=5) < about - now < timedelta(hours=2)
    assert by < about


def test_its_page_says_how_fast_it_goes(drifting, get):
    text = get(f"/sources/{drifting[1]}").text
    # Of 190, 187 and 184 mired the slope is −6 an hour; a meter's scatter makes it 1 unsure (hand-worked).
    assert "Drifts cooler by 5 to 7 mired an hour." in text
    assert re.search(r"Meter it by \d\d:\d\d\.", text)


@pytest.mark.parametrize(
    ("hours", "meter", "why"),
    [
        (0.0, r"Meter Window by \d\d:\d\d ", r"About \d\d:\d\d Key shows beside it\."),
        (3.0, "Meter Window now ", r"Since about \d\d:\d\d Key may show beside it\."),
    ],
)
def test_once_it_is_due_it_is_to_be_metered_now(drifting, get, monkeypatch, hours, meter, why):
    now = datetime.now(UTC) + timedelta(hours=hours)
    monkeypatch.setattr(worked_out, "clock", lambda: now)
    page, head = get(f"/sets/{drifting[0]}"), get(f"/sources/{drifting[1]}").text
    assert re.search(meter, page.text) and re.search(why, page.text)
    due = [datetime.fromisoformat(at) for at in re.findall(r'data-due="([^"]+)"', page.html)]
    assert bool(due) is not bool(hours), "a page that is left open asks again at that time"
    assert all(now < at < now + timedelta(hours=2) for at in due)
    assert re.search(why, head) and re.search(meter.replace("Window", "it").strip(), head)


@pytest.mark.parametrize(
    ("doubt", "said"),
    [(2.0, "Drifts cooler by 10 to 14 mired an hour."), (10.0, "Drifts cooler.")],
)
def test_a_rate_that_is_hardly_known_is_no_number(doubt, said):
    """Of 2 to 22 mired an hour nobody makes anything; that it turns cooler is sure all the same."""
    rate = DriftRate(-12.0, doubt, 0.0, 0.0001, speed=9.0, speed_doubt=1.0, count=3, moved=9.0, turned=False)
    assert drift_said(DriftAhead("Window", rate, datetime.now(UTC), None)) == said


@pytest.mark.parametrize(
    ("mireds", "minutes_ago"),
    [
        ([190.0, 189.9, 190.0], [60, 30, 0]),
        ([190.0, 184.0], [5, 0]),
        ([190.0, 187.0, 184.0], [840, 800, 760]),
    ],
    ids=["steady", "at once", "long ago"],
)
def test_without_a_sure_drift_of_now_nothing_is_said(stores, get, mireds, minutes_ago):
    set_id, window = kept(stores, mireds, minutes_ago)
    assert "Drifts" not in get(f"/sets/{set_id}").text
    assert "Drifts" not in get(f"/sources/{window}").text


def test_a_reading_that_is_struck_out_tells_no_drift(drifting, stores, get):
    for one in stores.sets.readings_of(drifting[1])[:2]:
        stores.sets.strike(one.id)
    assert "Drifts" not in get(f"/sets/{drifting[0]}").text


def test_what_is_kept_of_a_drift_holds_none_of_its_readings(drifting, get, monkeypatch):
    """With all of them it was 180 kB for each state of a source that was read a hundred times."""
    read, held = worked_out.series_of, []

    def watched(readings, kind):
        held.extend(map(weakref.ref, readings))
        return read(readings, kind)

    monkeypatch.setattr(worked_out, "series_of", watched)
    get(f"/sets/{drifting[0]}")
    get(f"/sources/{drifting[1]}")
    gc.collect(0)
    assert len(held) == 3 and not any(one() for one in held)  # worked out once, of three readings
