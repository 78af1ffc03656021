"""Readings read in one go are those that are read one by one, and a bad one is named."""

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
