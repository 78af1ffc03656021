"""Sources that are kept in memory: whatever was written, a set reads as it does without them."""

import pytest

from advisor.model import Reading, Stage, Target, Work
from advisor.store import SetStore
from advisor.store.tables import rows
from advisor.store.tables.kept_sources import KeptSources


def bare(cct, **also):
    return Reading(cct=cct, duv=0.001, **also)


def plan(sets, source_id):
    work = Work(stage=Stage.PLANNED, gels=["CTO 1/4"])
    sets.change_source(source_id, {"work": work})


def take_and_strike(sets, source_id):
    sets.strike(sets.add_reading(source_id, bare(5000)))


def strike_and_bring_back(sets, source_id):
    number = sets.add_reading(source_id, bare(5001))
    sets.get_set(sets.get_source(source_id).set_id)
    sets.strike(number)
    sets.get_set(sets.get_source(source_id).set_id)
    sets.bring_back(number)


def mend(sets, source_id):
    number = sets.add_reading(source_id, bare(5002))
    sets.mend(source_id, {number: bare(5003)})


def mend_and_undo(sets, source_id):
    number = sets.add_reading(source_id, bare(5002))
    sets.mend(source_id, {number: bare(5003)})
    sets.get_set(sets.get_source(source_id).set_id)
    sets.bring_back(number)


def remove_and_bring_back(sets, source_id):
    sets.delete_source(source_id)
    sets.get_set(sets.get_source(source_id).set_id)
    sets.restore_source(source_id)


def take_late(sets, source_id):
    sets.by("Ilya", 3600.0).add_reading(source_id, bare(5004))


def fail_in_between(sets, source_id):
    with pytest.raises(ZeroDivisionError), sets.db.write() as conn:
        conn.execute("UPDATE sources SET revision = revision + 1, note = 'lost' WHERE id = ?", (source_id,))
        sets.get_set(sets.get_source(source_id).set_id)
        raise ZeroDivisionError
    sets.change_source(source_id, {"note": "kept"})


WRITES = (
    lambda sets, source_id: sets.add_reading(source_id, bare(5005, gels=["CTO 1/2"])),
    lambda sets, source_id: sets.add_reading(source_id, bare(5006, level=50)),
    take_and_strike,
    strike_and_bring_back,
    mend,
    mend_and_undo,
    plan,
    remove_and_bring_back,
    take_late,
    fail_in_between,
)


@pytest.mark.parametrize("write", WRITES)
def test_after_each_write_a_set_reads_as_it_does_without_what_is_kept(sets: SetStore, office: int, write):
    before = sets.get_set(office)
    for number in [source.id for source in before.sources]:
        write(sets, number)
        assert sets.get_set(office) == SetStore(sets.db).get_set(office) != before


def test_what_did_not_change_is_not_read_again(sets: SetStore, office: int):
    window, lamp = sets.get_set(office).sources
    sets.by("Noor").add_reading(window.id, bare(5000))
    now = sets.get_set(office).sources
    assert now[1] is lamp and now[0].source.reading.cct == 5000


def test_the_kept_are_no_more_than_so_many_readings(sets: SetStore, office: int):
    kept = KeptSources(most=4)
    own = SetStore(sets.db, kept=kept)
    assert own.get_set(office) == sets.get_set(office) == own.get_set(office)
    assert 0 < kept._readings <= 4
    for _ in range(4):
        own.add_reading(own.get_set(office).sources[0].id, bare(5000))
    own.get_set(office)
    assert own.get_set(office) == sets.get_set(office) and kept._readings <= 4


@pytest.fixture
def read_while_writing(sets, monkeypatch):
    """List the sources whose readings were read from the file while others had to wait to write."""
    found, read = [], rows._read

    def watched(conn, sources):
        if sets.db._lock.locked():
            found.extend(row["id"] for row in sources)
        return read(conn, sources)

    monkeypatch.setattr(rows, "_read", watched)
    return found


@pytest.mark.parametrize(
    "write",
    [
        lambda sets, now: sets.update_set(now.id, name="Office, 2nd floor"),
        lambda sets, now: sets.update_set(now.id, target=Target(source=now.sources[1].source.name)),
        lambda sets, now: sets.adopted.adopt(
            now.id,
            now.target,
            {now.sources[0].id: Work(stage=Stage.PLANNED, gels=["CTO 1/4"])},
            revision=now.revision,
        ),
    ],
    ids=["name", "target", "adopted"],
)
def test_what_changes_a_set_reads_no_readings_while_others_wait(
    sets: SetStore, office: int, read_while_writing, write
):
    """Also where nothing of it was read since the start."""
    now, fresh = SetStore(sets.db).get_set(office), SetStore(sets.db)
    write(fresh, now)
    assert read_while_writing == []
    assert fresh.get_set(office) == SetStore(sets.db).get_set(office) != now
