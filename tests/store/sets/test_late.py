"""Readings that come in late: filed when they were taken, whatever the order in which they arrive."""

import json
from datetime import UTC, datetime, timedelta
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.imports.set_file import read_whole
from advisor.model import Reading, Stage, Work
from advisor.model.basis.base import utc_text
from advisor.store import Database, SetStore
from advisor.store.file.migrations import MIGRATIONS
from advisor.store.sets import readings as reading_store
from tests.store.samples import OFFICE, WINDOW, export
from tests.strategies import STEADY
from tests.thorough import cases

START = datetime(2026, 3, 14, 16, 0, tzinfo=UTC)
HOUR = 3600.0


class Clock:
    """The laptop's clock, in seconds since the day began; it can be set."""

    def __init__(self) -> None:
        self.seconds = 0.0

    def __call__(self) -> str:
        return utc_text(START + timedelta(seconds=self.seconds))


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(reading_store, "utc_now", clock)
    return clock


@pytest.fixture
def window(sets: SetStore, clock: Clock) -> int:
    return sets.get_set(sets.create_set(OFFICE)).sources[0].id


def read(cct: float, **tags: object) -> Reading:
    return Reading(cct=cct, duv=0.001, **tags)


def at(seconds: float) -> str:
    return utc_text(START + timedelta(seconds=seconds))


def test_an_older_one_that_comes_late_does_not_overrule_a_newer_one(
    sets: SetStore, window: int, clock: Clock
):
    clock.seconds = 2 * HOUR
    sets.by("Mia").add_reading(window, read(5000))
    clock.seconds += 60
    sets.by("Bo", HOUR).add_reading(window, read(4000))
    now = sets.get_source(window)
    assert (now.source.reading.cct, now.who, now.taken_at) == (5000, "Mia", at(2 * HOUR))
    older = sets.readings_of(window)[1]
    assert (older.reading.cct, older.who) == (4000, "Bo")
    assert (older.taken_at, older.sent_at) == (at(HOUR + 60), at(2 * HOUR + 60))
    assert [r.cct for r in now.source.bare_readings] == [6800, 4000, 5000]


def test_a_newer_one_that_comes_late_counts(sets: SetStore, window: int, clock: Clock):
    clock.seconds = HOUR
    sets.add_reading(window, read(5000))
    clock.seconds = 2 * HOUR
    sets.by("Bo", HOUR / 2).add_reading(window, read(4000))
    assert sets.get_source(window).source.reading.cct == 4000


def test_what_comes_at_once_was_not_sent_later(sets: SetStore, window: int, clock: Clock):
    clock.seconds = HOUR
    sets.by("Bo", 0.2).add_reading(window, read(5000))
    newest = sets.readings_of(window)[-1]
    assert (newest.taken_at, newest.sent_at) == (at(HOUR - 0.2), "")


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_order_of_arrival_is_none_of_its_business(sets: SetStore, window: int, clock: Clock, order):
    """Three phones read at 1, 2 and 3 h; what they read comes in later, in any order."""
    for n, which in enumerate(order):
        clock.seconds = 4 * HOUR + n
        age = clock.seconds - (which + 1) * HOUR
        sets.by("", age).add_reading(window, read(4000 + which))
    assert [r.reading.cct for r in sets.readings_of(window)] == [6800, 4000, 4001, 4002]
    assert sets.get_source(window).source.reading.cct == 4002


@settings(STEADY, max_examples=cases(40))
@given(
    taken=st.lists(st.integers(1, 10_000), min_size=1, max_size=6, unique=True),
    gelled=st.lists(st.booleans(), min_size=6, max_size=6),
    data=st.data(),
)
def test_which_one_counts_is_decided_by_when_it_was_taken(tmp_path_factory, taken, gelled, data):
    clock = Clock()
    readings = [
        read(3000 + t / 10, gels=["CTO 1/2"] if g else []) for t, g in zip(taken, gelled, strict=False)
    ]
    arrivals = data.draw(st.permutations(range(len(taken))))
    with pytest.MonkeyPatch.context() as patch, Database(tmp_path_factory.mktemp("late") / "a.db") as db:
        patch.setattr(reading_store, "utc_now", clock)
        sets = SetStore(db)
        source = sets.get_set(sets.create_set(OFFICE)).sources[0].id
        for wait, k in enumerate(arrivals):
            clock.seconds = 20_000.0 + 60 * wait
            sets.by("", clock.seconds - taken[k]).add_reading(source, readings[k])
        now = sets.get_source(source)
        by_time = [readings[k] for k in sorted(range(len(taken)), key=lambda k: taken[k])]
        assert [r.reading for r in sets.readings_of(source)] == [WINDOW.reading, *by_time]
        assert now.source.reading == next((r for r in reversed(by_time) if not r.gels), WINDOW.reading)
        newest = next((r for r in reversed(by_time) if r.gels), None)
        assert (now.behind and now.behind.reading) == newest


@pytest.mark.parametrize("age", [3 * HOUR, 1e9, 1e15, -HOUR, float("nan")])
def test_a_time_that_cannot_be_is_when_it_came_in(sets: SetStore, window: int, clock: Clock, age: float):
    """Before the source was there, or in the future: the reading is kept all the same."""
    clock.seconds = 2 * HOUR
    sets.by("Bo", age).add_reading(window, read(5000))
    newest = sets.readings_of(window)[-1]
    assert (newest.reading.cct, newest.taken_at, newest.sent_at) == (5000, at(2 * HOUR), "")
    assert sets.get_source(window).source.reading.cct == 5000


def test_a_clock_that_was_set_back_files_nothing_before_what_was_there(
    sets: SetStore, window: int, clock: Clock
):
    for hours in (4, 5):
        clock.seconds = hours * HOUR
        sets.add_reading(window, read(4600 + 80 * hours))
    clock.seconds = 2 * HOUR
    sets.add_reading(window, read(5100))
    assert sets.get_source(window).source.reading.cct == 5100
    sets.by("", 60).add_reading(window, read(4900))  # a minute old: before the two newest
    assert [r.reading.cct for r in sets.readings_of(window)] == [6800, 4920, 4900, 5000, 5100]


def test_the_work_at_a_time(sets: SetStore, window: int, clock: Clock):
    hung = [Work(stage=Stage.HUNG, gels=[name]) for name in ("CTO 1/2", "CTO 1/4")]
    for hours, work in ((1, hung[0]), (2, hung[1])):
        clock.seconds = hours * HOUR
        sets.change_source(window, {"work": work})
    clock.seconds = 3 * HOUR
    assert sets.work_at(window, at(HOUR / 2)) is None
    assert sets.work_at(window, at(1.5 * HOUR)) == hung[0]
    assert sets.work_at(window, at(2.5 * HOUR)) == hung[1]
    assert sets.work_at(window, at(4 * HOUR)) == hung[1]


def test_the_file_of_a_set_keeps_both_times_and_the_order(sets: SetStore, window: int, clock: Clock):
    clock.seconds = 2 * HOUR
    sets.add_reading(window, read(5000))
    sets.by("Bo", HOUR).add_reading(window, read(4000))
    whole = export(sets, 1)
    dated = json.loads(whole.to_json())["sources"][0]["readings"]
    assert [(d.get("sent_at"), d["reading"]["cct"]) for d in dated] == [
        (None, 6800),
        (at(2 * HOUR), 4000),
        (None, 5000),
    ]
    copy = sets.whole.restore(read_whole(whole.to_json()), copy=True)
    assert [s.readings for s in export(sets, copy).sources] == [s.readings for s in whole.sources]
    again = sets.get_set(copy).sources[0]
    assert again.source.reading.cct == 5000
    clock.seconds = 3 * HOUR
    sets.add_reading(again.id, read(5200))
    assert sets.get_source(again.id).source.reading.cct == 5200


def test_a_file_whose_times_run_backwards_keeps_its_order(sets: SetStore, clock: Clock):
    """As 0.1.0 wrote it where the laptop's clock was set back at lunch."""
    office = sets.create_set(OFFICE)
    window = sets.get_set(office).sources[0].id
    clock.seconds = 2 * HOUR
    sets.add_reading(window, read(5000))
    text = json.loads(export(sets, office).to_json())
    dated = text["sources"][0]["readings"]
    dated[0]["taken_at"], dated[1]["taken_at"] = at(3 * HOUR), at(HOUR)
    copy = sets.whole.restore(read_whole(json.dumps(text)), copy=True)
    assert sets.get_set(copy).sources[0].source.reading.cct == 5000


def test_readings_of_0_1_0_keep_their_order(path: Path):
    """The clock was set back between the two; the one that was added last counts, as before."""
    times = [at(2 * HOUR), at(3 * HOUR), at(HOUR)]
    with Database(path, MIGRATIONS[:4]) as db, db.write() as conn:
        conn.execute(
            """INSERT INTO sets (name, note, target, limits, sample, changed_at, uid)
               VALUES ('Office', '', '{"cct": 5600}', '{}', 0, ?, 'a1')""",
            (times[0],),
        )
        conn.execute(
            """INSERT INTO sources (set_id, position, name, name_key, kind, note, keep)
               VALUES (1, 1, 'Key', 'key', 'unknown', '', '[]')"""
        )
        for cct, taken in zip((5000, 5100, 5200), times, strict=True):
            conn.execute(
                "INSERT INTO readings (source_id, reading, taken_at) VALUES (1, ?, ?)",
                (json.dumps({"cct": cct, "duv": 0}), taken),
            )
    with Database(path) as db:
        sets = SetStore(db)
        assert sets.get_source(1).source.reading.cct == 5200
        assert [(r.taken_at, r.sent_at) for r in sets.readings_of(1)] == [(t, "") for t in times]
        sets.add_reading(1, read(5300))
        assert sets.get_source(1).source.reading.cct == 5300


def test_it_is_known_between_when_the_readings_of_each_source_were_taken(sets, office, clock):
    window, lamp = (stored.id for stored in sets.get_set(office).sources[:2])
    before = sets.taken_between(office)
    added = []
    for hours in (1, 2, 5):
        clock.seconds = hours * HOUR
        sets.add_reading(window, Reading(cct=6000 + hours, duv=0.001))
        added.append(sets.readings_of(window)[-1])
    taken = sorted([before[window][0], before[window][1], *(reading.taken_at for reading in added)])
    assert sets.taken_between(office) == {**before, window: (taken[0], taken[-1])}
    for reading in added:
        sets.strike(reading.id)
    assert sets.taken_between(office) == before and lamp in before
