import sqlite3
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from advisor.model import Reading, Refused
from advisor.store import Conflict, Database, SetStore, StoreFault
from advisor.store.crew.answers import prune, set_answer
from advisor.store.file.once import AlreadyDone, once
from tests.store.samples import CEILING, OFFICE

KEY, OTHER = "k" * 16, "Other-key_0123456789"
REREAD = Reading(cct=7100, duv=0.005)


@pytest.fixture
def office(sets: SetStore) -> int:
    return sets.create_set(OFFICE)


def _keys(db: Database) -> list[tuple[object, ...]]:
    with db.read() as conn:
        return [tuple(r) for r in conn.execute("SELECT key, who, answer FROM once ORDER BY rowid")]


def test_a_write_without_a_key_keeps_none(db: Database, sets: SetStore, office: int):
    assert _keys(db) == []


def test_a_second_time_is_told_where_the_first_led_and_writes_nothing(
    db: Database, sets: SetStore, office: int
):
    with once(KEY, "Ada"):
        sets.add_reading(1, REREAD)
    with pytest.raises(AlreadyDone) as early, once(KEY, "Ada"):
        sets.add_reading(1, REREAD)
    assert early.value.answer == ""
    set_answer(db, KEY, "/sources/1")
    with pytest.raises(AlreadyDone) as later, once(KEY, "Ada"):
        sets.add_reading(1, REREAD)
    assert later.value.answer == "/sources/1"
    assert len(sets.readings_of(1)) == 2
    assert _keys(db) == [(KEY, "Ada", "/sources/1")]


def test_other_keys_and_writes_without_one_go_on(sets: SetStore, office: int):
    for key in (KEY, OTHER):
        with once(key):
            sets.add_reading(1, REREAD)
    sets.add_reading(1, REREAD)
    assert len(sets.readings_of(1)) == 4


def test_bookkeeping_on_the_way_does_not_lose_the_key(db: Database, sets: SetStore, office: int):
    with once(KEY, "Ada"):
        set_answer(db, OTHER, "/elsewhere")
        sets.add_reading(1, REREAD)
    assert _keys(db) == [(KEY, "Ada", "")]
    with pytest.raises(AlreadyDone), once(KEY, "Ada"):
        sets.add_reading(1, REREAD)


def test_only_the_first_of_several_writes_asks(db: Database, sets: SetStore, office: int):
    with once(KEY):
        sets.add_reading(1, REREAD)
        sets.add_reading(2, REREAD)
    assert [len(sets.readings_of(n)) for n in (1, 2)] == [2, 2]
    with pytest.raises(AlreadyDone), once(KEY):
        sets.add_reading(1, REREAD)
    assert len(_keys(db)) == 1


def test_a_refused_write_keeps_no_key_and_may_come_again(db: Database, sets: SetStore, office: int):
    with pytest.raises(Conflict), once(KEY):
        sets.update_set(office, note="mine", revision=9)
    assert _keys(db) == []
    with once(KEY):
        with pytest.raises(Conflict):
            sets.update_set(office, note="mine", revision=9)
        sets.update_set(office, note="mine", revision=1)
    assert _keys(db) == [(KEY, "", "")]
    with pytest.raises(AlreadyDone), once(KEY):
        sets.update_set(office, note="again")
    assert sets.get_set(office).note == "mine"


def test_a_commit_that_fails_keeps_neither_write_nor_key(db: Database, sets: SetStore, office: int):
    with db.write() as conn:
        conn.execute(f"PRAGMA max_page_count = {conn.execute('PRAGMA page_count').fetchone()[0]}")
    many = [CEILING.model_copy(update={"name": f"Tube {n}"}) for n in range(60)]
    with pytest.raises(StoreFault, match="disk is full"), once(KEY):
        sets.add_sources(office, many)
    with db.write() as conn:
        conn.execute("PRAGMA max_page_count = 100000")
    assert _keys(db) == []
    with once(KEY):
        sets.add_sources(office, many)
    assert len(sets.get_set(office).sources) == 62


def test_what_changes_nothing_is_done_all_the_same(sets: SetStore, office: int):
    with once(KEY):
        sets.update_set(office, note=OFFICE.note)
    with pytest.raises(AlreadyDone), once(KEY):
        sets.update_set(office, note="other")


def test_reads_never_ask(sets: SetStore, office: int):
    with once(KEY):
        sets.add_reading(1, REREAD)
    with once(KEY):
        assert sets.get_set(office).revision == 2


def test_many_threads_with_one_key_write_once(db: Database, sets: SetStore, office: int):
    start, told = threading.Barrier(8), []

    def send() -> None:
        start.wait()
        try:
            with once(KEY):
                sets.add_reading(1, REREAD)
            told.append("kept")
        except AlreadyDone:
            told.append("done")

    threads = [threading.Thread(target=send) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(told) == ["done"] * 7 + ["kept"]
    assert len(sets.readings_of(1)) == 2


def test_a_key_is_known_to_the_next_start(path: Path, db: Database, sets: SetStore, office: int):
    with once(KEY):
        sets.add_reading(1, REREAD)
    db.close()
    with Database(path) as again, pytest.raises(AlreadyDone), once(KEY):
        SetStore(again).add_reading(1, REREAD)


def test_the_answer_of_a_key_that_no_write_kept_is_let_go(db: Database):
    with once(KEY):
        set_answer(db, KEY, "/sets")
    assert _keys(db) == []


@pytest.mark.parametrize("key", ["", "k" * 15, "k" * 65, "k" * 15 + "/", "k" * 15 + "é", "k" * 16 + "\n"])
def test_another_kind_of_key_is_refused(key: str):
    with pytest.raises(Refused, match=r"no key of a write. Allowed: 16 to 64 letters"), once(key):
        pass


def test_keys_are_forgotten_after_a_week(db: Database, path: Path):
    now = datetime.now(UTC)
    with db.write() as conn:
        for name, days in (("old", 7.01), ("young", 6.99), ("ahead", -1)):
            at = (now - timedelta(days=days)).isoformat(timespec="microseconds").replace("+00:00", "Z")
            conn.execute("INSERT INTO once VALUES (?, ?, '', '')", (name, at))
    assert prune(db) == 1
    assert [key for key, *_ in _keys(db)] == ["young", "ahead"]


def test_keys_stand_once_by_the_schema_too(db: Database):
    with pytest.raises(sqlite3.IntegrityError, match="UNIQUE"), db.write() as conn:
        conn.executemany("INSERT INTO once VALUES (?, '', '', '')", [(KEY,), (KEY,)])
