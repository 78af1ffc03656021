"""Of a source with very many readings those are kept that are needed, and it says how many there are."""

import pytest

from advisor.model import Reading, Stage, Target, Work
from advisor.store import SetStore
from advisor.store.file.faults import StoreFault
from advisor.store.tables import needed_rows
from advisor.store.tables.kept_sources import KeptSources


def bare(cct, **also):
    return Reading(cct=cct, duv=0.001, **also)


class Last:
    """Needs the last two readings, and tells of what it was asked for last."""

    def __init__(self):
        self.ccts, self.each_white, self.times = [], None, 0

    def __call__(self, readings, each_white):
        self.ccts, self.each_white, self.times = [r["cct"] for r in readings], each_white, self.times + 1
        return list(range(len(readings)))[-2:]


@pytest.fixture
def last(monkeypatch):
    monkeypatch.setattr(needed_rows, "MANY", 3)
    monkeypatch.setattr("advisor.store.tables.rows.MANY", 3)
    return Last()


@pytest.fixture
def lamp(sets: SetStore, office: int):
    """The second source of a set, read bare seven more times."""
    number = sets.get_set(office).sources[1].id
    for k in range(7):
        sets.add_reading(number, bare(3000 + k))
    return number


@pytest.fixture
def few(sets: SetStore, last):
    return SetStore(sets.db, kept=KeptSources(needed=last))


def of(sets, office):
    return sets.get_set(office).sources[1]


def ccts(stored):
    return [r.cct for r in (*stored.source.readings, stored.source.reading)]


def test_only_those_are_kept_and_all_are_counted(sets, office, lamp, few, last):
    every, found = of(sets, office), of(few, office)
    assert ccts(found) == [3005, 3006] and last.ccts == ccts(every)
    assert found.readings == every.readings == len(ccts(every))
    assert (found.taken_at, found.who, found.revision) == (every.taken_at, every.who, every.revision)
    assert few.get_source(lamp) == sets.get_source(lamp), "a source by itself has all"
    assert of(few, office) is found and last.times == 1


def test_what_was_struck_is_counted_and_says_nothing(sets, office, lamp, few, last):
    number = sets.add_reading(lamp, bare(3100))
    sets.strike(number)
    assert ccts(of(few, office)) == [3005, 3006] and 3100 not in last.ccts
    assert of(few, office).readings == of(sets, office).readings
    sets.bring_back(number)
    assert ccts(of(few, office)) == [3006, 3100]


def test_where_something_was_decided_what_was_struck_is_held_against_all(sets, office, lamp, few):
    sets.change_source(lamp, {"work": Work(stage=Stage.PLANNED, gels=["CTO 1/4"])})
    assert ccts(of(few, office)) == [3005, 3006]
    sets.strike(sets.add_reading(lamp, bare(3100)))
    assert of(few, office) == of(sets, office)


def test_one_of_each_white_is_needed_of_what_is_matched_or_decided(sets, office, lamp, few, last):
    of(few, office)
    assert last.each_white is False
    sets.update_set(office, target=Target(source=of(sets, office).source.name))
    of(few, office)
    assert last.each_white is True and last.times == 2
    sets.update_set(office, target=Target(cct=5600))
    of(few, office)
    assert last.each_white is False
    sets.change_source(lamp, {"work": Work(stage=Stage.PLANNED, gels=["CTO 1/4"])})
    of(few, office)
    assert last.each_white is True


def test_a_reading_of_a_test_says_so_where_it_is_its_row_that_does(sets, office, lamp, few, monkeypatch):
    asked = []
    monkeypatch.setattr(few._kept, "needed", lambda readings, _: asked.extend(readings) or [])
    with sets.db.write() as conn:
        conn.execute("PRAGMA defer_foreign_keys = ON")
        conn.execute("DROP TRIGGER readings_unchanged")
        conn.execute("INSERT INTO heads (id, name_key, head, changed_at) VALUES (1, 'h', '{}', '')")
        conn.execute("INSERT INTO head_tests (id, head_id, test, begun_at, who) VALUES (1, 1, '{}', '', '')")
        conn.execute("UPDATE readings SET test_id = 1 WHERE source_id = ? AND id % 2", (lamp,))
    of(few, office)
    assert {"tested_at" in reading for reading in asked} == {True, False}


@pytest.mark.parametrize("text", ['{"cct": 99, "duv": 0}', "no JSON", "[]", '{"cct": 1}, {"cct": 2}'])
def test_one_that_is_none_is_named(sets, office, lamp, few, text):
    with sets.db.write() as conn:
        conn.execute("DROP TRIGGER readings_unchanged")
        newest = conn.execute("SELECT max(id) FROM readings WHERE source_id = ?", (lamp,)).fetchone()[0]
        conn.execute("UPDATE readings SET reading = ? WHERE id = ?", (text, newest))
    with pytest.raises(StoreFault, match=f"stored reading {newest} cannot be read"):
        few.get_set(office)
