"""Readings read in one go are those that are read one by one, and a bad one is named."""

from datetime import timedelta

import pytest

from advisor.model import Reading
from advisor.store import SetStore
from advisor.store.file.faults import NotReadYet, StoreFault
from advisor.store.tables import reading_rows


@pytest.fixture
def at_once(monkeypatch):
    """Have all readings read in one go, however few."""
    monkeypatch.setattr(reading_rows, "_AT_ONCE", 1)


@pytest.fixture
def read(sets: SetStore, office: int):
    """A source with readings of every shape, one of them struck out."""
    window = sets.get_set(office).sources[0].id
    taken = [
        Reading(cct=5000, duv=0.001, lux=800, level=58, modifier="Soft “4 × 4”"),
        Reading(xy=(0.33, 0.34), gels=["CTO 1/2"]),
        Reading(cct=4000, duv=-0.002, ssi=80, ssi_reference="P3200"),
        Reading(spectrum={"start": 380, "step": 5, "values": [0.5] * 81}),
    ]
    numbers = [sets.add_reading(window, reading) for reading in taken]
    sets.strike(numbers[0])
    return window


def test_they_are_what_they_are_one_by_one(sets: SetStore, office: int, read, monkeypatch):
    alone = sets.readings_of(read), SetStore(sets.db).get_set(office)
    monkeypatch.setattr(reading_rows, "_AT_ONCE", 1)
    monkeypatch.setattr(reading_rows, "_reading", None)  # none is read one by one
    assert (sets.readings_of(read), SetStore(sets.db).get_set(office)) == alone
    assert len(alone[0]) == 6 and sum(1 for one in alone[0] if one.struck) == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"cct": 99, "duv": 0}', "CCT 99 is out of range"),
        ('{"cct": 5600, "duv": 0}, {"cct": 5600, "duv": 0}', "not JSON"),
    ],
)
def test_one_that_is_none_is_named(sets: SetStore, read, at_once, text, says):
    last = sets.readings_of(read)[-1].id
    with sets.db.write() as conn:
        conn.execute("DROP TRIGGER readings_unchanged")
        conn.execute("UPDATE readings SET reading = ? WHERE id = ?", (text, last))
    with pytest.raises(StoreFault, match=f"stored reading {last} cannot be read .*{says}"):
        sets.readings_of(read)


def test_who_waits_for_no_more_is_told_until_it_is_read(sets: SetStore, office: int, read):
    there = SetStore(sets.db)
    within = there.by("", most=3)
    with pytest.raises(NotReadYet) as no:
        within.get_set(office)
    assert no.value.set_id == office
    shares = [share for share, _ in within.read_ahead(office)]
    assert shares == [0.5, 1.0]
    assert within.get_set(office) == SetStore(sets.db).get_set(office)
    assert list(within.read_ahead(office)) == [], "nothing is left to read"
    sets.add_reading(read, Reading(cct=5100, duv=0.0))
    with pytest.raises(NotReadYet):
        within.get_set(office)
    assert there.get_set(office).sources[0].source.reading.cct == 5100, "who changes something waits"


@pytest.fixture
def day(sets: SetStore, office: int):
    """A lamp that was read every half hour, the last time now, in the ways in which it may be."""
    lamp = sets.get_set(office).sources[1].id
    with sets.db.write() as conn:
        conn.execute("DROP TRIGGER readings_kept")
        conn.execute("DELETE FROM readings WHERE source_id = ?", (lamp,))
    taken = [
        Reading(cct=4000, duv=0.0),
        Reading(cct=4001, duv=0.0, level=50),
        Reading(cct=4002, duv=0.0, gels=["CTO 1/4"]),
        Reading(cct=4003, duv=0.0, modifier="dish"),
        Reading(cct=4004, duv=0.0, lux=500),
        Reading(cct=4005, duv=0.0, tested_at="2026-03-14T06:00:00.000Z"),
        Reading(cct=4006, duv=0.0),
        Reading(cct=4007, duv=0.0),
    ]
    with sets.db.write() as conn:
        for k, one in enumerate(taken):
            at = f"2026-03-14T{6 + k // 2:02}:{30 * (k % 2):02}:00.000Z"
            conn.execute(
                "INSERT INTO readings (source_id, reading, taken_at, filed_at) VALUES (?, ?, ?, ?)",
                (lamp, one.model_dump_json(exclude_defaults=True), at, at),
            )
    return lamp


def lately(sets, lamp, hours):
    return [one.reading.cct for one in sets.read_lately(lamp, timedelta(hours=hours))]


def test_lately_is_what_was_taken_as_the_newest_was(sets: SetStore, day):
    assert [lately(sets, day, hours) for hours in (0, 1, 2, 4)] == [
        [4007],
        [4006, 4007],
        [4004, 4006, 4007],
        [4000, 4004, 4006, 4007],
    ]
    newest = sets.readings_of(day)[-1].id
    sets.strike(newest)
    assert lately(sets, day, 1) == [4004, 4006], "what was struck is not the newest"
    sets.add_reading(day, Reading(cct=4008, duv=0.0, gels=["CTO 1/4"]))
    assert lately(sets, day, 100_000) == [4002, 4008]


def test_of_a_test_alone_nothing_is_lately(sets: SetStore, day):
    for one in sets.readings_of(day):
        if not one.tested:
            sets.strike(one.id)
    assert lately(sets, day, 100) == []


def test_lately_names_one_that_is_none(sets: SetStore, day):
    last = sets.readings_of(day)[-1].id
    with sets.db.write() as conn:
        conn.execute("DROP TRIGGER readings_unchanged")
        conn.execute("UPDATE readings SET reading = 'none' WHERE id = ?", (last,))
    with pytest.raises(StoreFault, match=f"stored reading {last} cannot be read"):
        lately(sets, day, 1)


def test_which_were_read_behind_gels_is_told_by_their_ids(sets: SetStore, day):
    every = sets.readings_of(day)
    behind = {one.id for one in every if one.reading.gels}
    assert sets.behind_gels([one.id for one in every]) == behind and len(behind) == 1
    assert sets.behind_gels([one.id for one in every if not one.reading.gels]) == set()
