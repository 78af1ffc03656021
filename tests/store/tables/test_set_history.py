"""Undo, conflict and the record of changes."""

import threading
from itertools import pairwise

import pytest

from advisor.model import Kind, LightSet, Limits, Reading, Target
from advisor.store import Conflict, Database, NotFound, SetStore
from tests.store.samples import CEILING, LAMP, OFFICE, WINDOW

REREAD = Reading(cct=7100, duv=0.005)


@pytest.fixture
def office(sets: SetStore) -> int:
    return sets.create_set(OFFICE)


@pytest.fixture
def window(sets: SetStore, office: int) -> int:
    return sets.get_set(office).sources[0].id


def test_a_deleted_set_is_out_of_sight_until_it_is_restored(sets: SetStore, office: int, window: int):
    sets.delete_set(office)
    sets.delete_set(office)
    assert sets.list_sets() == []
    for act in (
        lambda: sets.get_set(office),
        lambda: sets.update_set(office, name="x"),
        lambda: sets.add_source(office, CEILING),
        lambda: sets.update_source(window, WINDOW),
        lambda: sets.add_reading(window, REREAD),
        lambda: sets.delete_source(window),
        lambda: sets.restore_source(window),
    ):
        with pytest.raises(NotFound, match=f"set {office} was deleted") as missing:
            act()
        assert missing.value.deleted
    restored = sets.restore_set(office)
    assert restored == sets.get_set(office)
    assert (restored.light_set, restored.revision) == (OFFICE, 3)


def test_a_deleted_source_comes_back_in_its_place_with_its_readings(sets: SetStore, office: int, window: int):
    sets.add_reading(window, REREAD)
    sets.delete_source(window)
    sets.delete_source(window)
    assert [s.source.name for s in sets.get_set(office).sources] == ["Desk lamp"]
    gone = sets.get_source(window)
    assert (gone.deleted, gone.source.name, gone.revision) == (True, "Window", 3)
    assert len(sets.readings_of(window)) == 2
    for act in (lambda: sets.update_source(window, WINDOW), lambda: sets.add_reading(window, REREAD)):
        with pytest.raises(NotFound, match=f"source {window} was deleted") as missing:
            act()
        assert missing.value.deleted
    restored = sets.restore_source(window)
    assert restored == sets.get_set(office).sources[0]
    assert (restored.source.reading, restored.readings, restored.revision) == (REREAD, 2, 4)
    assert sets.get_set(office).revision == 4


def test_a_name_taken_meanwhile_is_told_apart_by_a_number(sets: SetStore, office: int, window: int):
    sets.delete_source(window)
    sets.add_source(office, WINDOW.model_copy(update={"name": "WINDOW"}))
    sets.add_source(office, WINDOW.model_copy(update={"name": "window (2)"}))
    assert sets.restore_source(window).source.name == "Window (3)"
    assert sets.get_set(office).sources[0].source.name == "Window (3)"


def test_a_long_name_has_room_for_its_number(sets: SetStore, office: int):
    long = WINDOW.model_copy(update={"name": "W" * 80})
    first = sets.add_source(office, long)
    sets.delete_source(first)
    sets.add_source(office, long)
    assert sets.restore_source(first).source.name == "W" * 76 + " (2)"


def test_sample_sets_can_be_cleared_away_and_brought_back(sets: SetStore, office: int):
    samples = [sets.create_set(OFFICE, sample=True) for _ in range(2)]
    deleted = sets.create_set(OFFICE, sample=True)
    sets.delete_set(deleted)
    assert sets.remove_sample_sets() == samples
    assert [s.id for s in sets.list_sets()] == [office]
    assert sets.remove_sample_sets() == []
    assert sets.restore_set(samples[0]).sample


def test_a_stale_change_of_a_set_is_a_conflict_and_writes_nothing(sets: SetStore, office: int, window: int):
    seen = sets.get_set(office).revision
    sets.by("Mia").update_set(office, name="Theirs")
    sets.add_reading(window, REREAD)
    present = sets.get_set(office)
    with pytest.raises(Conflict) as conflict:
        sets.update_set(office, name="Mine", note="mine", revision=seen)
    assert conflict.value.current == present == sets.get_set(office)
    assert conflict.value.by is not None and conflict.value.by.who == "Mia"
    assert sets.update_set(office, name="Mine", revision=present.revision).name == "Mine"


def test_who_changes_another_field_of_a_set_is_in_nobodys_way(sets: SetStore, office: int):
    seen = sets.get_set(office).revision
    sets.update_set(office, note="theirs", spare_percent=20)
    assert sets.update_set(office, name="Mine", revision=seen).name == "Mine"
    assert (sets.get_set(office).note, sets.get_set(office).spare_percent) == ("theirs", 20)


def test_what_was_changed_and_changed_back_is_no_conflict(sets: SetStore, office: int):
    seen, name = sets.get_set(office).revision, sets.get_set(office).name
    sets.update_set(office, name="Theirs")
    sets.update_set(office, name=name)
    assert sets.update_set(office, name="Mine", revision=seen).name == "Mine"


def test_fields_of_a_source_conflict_with_those_fields_alone(sets: SetStore, window: int):
    bo = sets.by("Bo")
    bo.change_source(window, {"note": "theirs", "level": 60.0})
    bo.add_reading(window, REREAD)
    changed = sets.change_source(window, {"kind": Kind.TUNGSTEN}, revision=1)
    assert (changed.source.kind, changed.source.note, changed.source.reading) == (
        Kind.TUNGSTEN,
        "theirs",
        REREAD,
    )
    with pytest.raises(Conflict) as conflict:
        sets.change_source(window, {"level": 45.0, "modifier": ""}, revision=1)
    assert conflict.value.by is not None and conflict.value.by.who == "Bo"
    assert sets.get_source(window) == changed
    with pytest.raises(Conflict):  # a revision that there never was
        sets.change_source(window, {"kind": Kind.LED_MIX}, revision=9)


def test_a_source_that_was_away_meanwhile_conflicts_only_where_it_changed(sets: SetStore, window: int):
    sets.change_source(window, {"note": "theirs"})
    sets.delete_source(window)
    sets.restore_source(window)
    assert sets.change_source(window, {"level": 45.0}, revision=1).source.level == 45
    with pytest.raises(Conflict):
        sets.change_source(window, {"note": "mine"}, revision=1)


def test_what_is_done_to_a_source_is_no_conflict_with_a_change_of_the_set(
    sets: SetStore, office: int, window: int
):
    seen = sets.get_set(office).revision
    sets.add_reading(window, REREAD)
    sets.update_source(window, WINDOW.model_copy(update={"note": "clouds"}))
    sets.delete_source(sets.add_source(office, CEILING))
    changed = sets.update_set(office, name="Mine", revision=seen)
    assert (changed.name, changed.revision) == ("Mine", seen + 5)
    with pytest.raises(Conflict):
        sets.update_set(office, name="Other", revision=seen + 4)
    with pytest.raises(Conflict):  # a revision that there never was
        sets.update_set(office, name="Other", revision=seen + 6)


def test_a_stale_change_of_a_source_is_a_conflict_and_writes_nothing(sets: SetStore, window: int):
    sets.update_source(window, WINDOW.model_copy(update={"note": "theirs"}), revision=1)
    present = sets.get_source(window)
    with pytest.raises(Conflict) as conflict:
        sets.update_source(window, WINDOW.model_copy(update={"reading": REREAD}), revision=1)
    assert conflict.value.current == present == sets.get_source(window)
    assert len(sets.readings_of(window)) == 1
    assert sets.update_source(window, WINDOW, revision=2).source == WINDOW


def test_a_neighbour_s_change_is_no_conflict(sets: SetStore, office: int, window: int):
    lamp = sets.get_set(office).sources[1].id
    sets.add_reading(lamp, REREAD)
    assert sets.update_source(window, WINDOW.model_copy(update={"note": "x"}), revision=1).revision == 2


def test_deleting_is_a_change_that_a_stale_writer_is_told_of(sets: SetStore, office: int, window: int):
    sets.delete_source(window)
    with pytest.raises(NotFound) as gone:
        sets.update_source(window, WINDOW.model_copy(update={"note": "x"}), revision=1)
    assert gone.value.deleted
    assert sets.get_source(window).deleted
    sets.delete_set(office)
    with pytest.raises(NotFound) as gone:
        sets.update_set(office, name="Mine", revision=1)
    assert gone.value.deleted


def test_every_change_is_on_record(sets: SetStore, office: int, window: int):
    sets.update_set(office, limits=Limits(max_layers=2))
    sets.update_source(window, WINDOW.model_copy(update={"name": "Bay", "reading": REREAD}))
    sets.add_reading(window, WINDOW.reading)
    ceiling = sets.add_source(office, CEILING)
    sets.delete_source(ceiling)
    sets.restore_source(ceiling)
    sets.delete_set(office)
    sets.restore_set(office)
    told = sets.history(office)
    lamp = sets.get_set(office).sources[1].id
    assert [(c.what, c.source_id) for c in told] == [
        ("set.added", None),
        ("source.added", window),
        ("source.added", lamp),
        ("set.changed", None),
        ("source.changed", window),
        ("reading.added", window),
        ("source.added", ceiling),
        ("source.deleted", ceiling),
        ("source.restored", ceiling),
        ("set.deleted", None),
        ("set.restored", None),
    ]
    assert {c.set_id for c in told} == {office}
    assert [c.at for c in told] == sorted(c.at for c in told)
    # Each source's changes follow one another without a gap: what one left, the next one found.
    for about in (None, window, lamp, ceiling):
        chain = [c for c in told if c.source_id == about]
        assert chain[0].before is None
        for earlier, later in pairwise(chain):
            left = dict(earlier.after or {}, revision=None)
            found = dict(later.before or {}, revision=None)
            assert found == left
    readings = [r.id for r in sets.readings_of(window)]
    changed = told[4]
    assert changed.before == {
        "name": "Window",
        "kind": "daylight",
        "note": "",
        "keep": [],
        "aim": {},
        "details": {},
        "revision": 1,
        "reading_id": readings[0],
    }
    assert changed.after == {**changed.before, "name": "Bay", "revision": 2, "reading_id": readings[1]}
    assert told[3].before["limits"]["max_layers"] == 3
    assert told[3].after["limits"]["max_layers"] == 2
    assert told[3].after["target"]["cct"] == 5600


def test_a_refused_change_is_not_on_record(sets: SetStore, office: int):
    before = sets.history(office)
    for act in (
        lambda: sets.add_source(office, WINDOW),
        lambda: sets.update_set(office, name="", revision=1),
        lambda: sets.update_set(office, name="Mine", revision=7),
        lambda: sets.update_set(office, target=Target(source="Door")),
    ):
        with pytest.raises((ValueError, Conflict)):
            act()
    assert sets.history(office) == before


def test_the_history_of_another_set_is_not_mixed_in(sets: SetStore, office: int):
    other = sets.create_set(LightSet(name="Other", target=Target(cct=5600), sources=[LAMP]))
    assert [c.what for c in sets.history(other)] == ["set.added", "source.added"]


def test_two_threads_writing_lose_nothing(sets: SetStore, db: Database, office: int, window: int):
    acknowledged: list[int] = []

    def write() -> None:
        # With no patience for a locked file, only our own lock can make them take turns.
        with db.read() as conn:
            conn.execute("PRAGMA busy_timeout = 0")
        acknowledged.extend(sets.add_reading(window, REREAD) for _ in range(40))

    threads = [threading.Thread(target=write) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(set(acknowledged)) == 80
    assert [r.id for r in sets.readings_of(window)][1:] == sorted(acknowledged)
    assert (sets.get_source(window).revision, sets.get_set(office).revision) == (81, 81)
    assert len(sets.history(office)) == 83


def test_of_many_who_saw_the_same_revision_one_comes_through(sets: SetStore, window: int):
    outcomes: list[str] = []
    start = threading.Barrier(6)

    def write(note: str) -> None:
        start.wait()
        try:
            sets.update_source(window, WINDOW.model_copy(update={"note": note}), revision=1)
            outcomes.append(note)
        except Conflict:
            outcomes.append("conflict")

    threads = [threading.Thread(target=write, args=(f"from {n}",)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    [winner] = [o for o in outcomes if o != "conflict"]
    assert len(outcomes) == 6
    stored = sets.get_source(window)
    assert (stored.source.note, stored.revision) == (winner, 2)
