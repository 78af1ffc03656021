"""A set's file carries the heads whose tests its readings come from, and restores them."""

import pytest

from advisor.imports.set_file import read_whole
from advisor.model import UNREAD, KnownHead, Refused, Source
from advisor.store import Database, SetStore
from advisor.store.known_heads.heads import HeadStore
from advisor.store.tables.writes import ReadingOfTest
from tests.heads import PANEL, READINGS, keep_tested
from tests.store.samples import OFFICE


@pytest.fixture
def elsewhere(tmp_path):
    with Database(tmp_path / "elsewhere" / "advisor.sqlite") as db:
        yield db


def use(sets: SetStore, set_id: int) -> int:
    """Put the first head on a set by its first test."""
    at = "2026-01-02T03:04:05.000000Z"
    taken = [
        ReadingOfTest(r.on_set.model_copy(update={"tested_at": at}), at, "Mia", 1) for r in reversed(READINGS)
    ]
    return sets.add_tested(set_id, [(Source(name=PANEL.name, reading=UNREAD), taken)])[0]


@pytest.fixture
def text(db, sets, office):
    heads = HeadStore(db)
    keep_tested(heads)
    heads.add_head(KnownHead(name="on no set"))
    use(sets, office)
    return sets.whole.export(office, []).to_json()


def test_the_heads_that_it_uses_come_along(text, elsewhere):
    whole = read_whole(text)
    assert whole.advisor_set == 3 and [one.head for one in whole.heads] == [PANEL]
    restored = SetStore(elsewhere).whole.restore(whole)
    heads = HeadStore(elsewhere)
    [head] = heads.list_heads()
    assert head.stored.head == PANEL and head.readings == len(READINGS)
    panel = next(s for s in SetStore(elsewhere).get_set(restored).sources if s.source.name == PANEL.name)
    assert panel.tested
    assert SetStore(elsewhere).whole.export(restored, []).heads == whole.heads


def test_a_set_without_heads_is_written_as_before(sets, office):
    assert '"heads"' not in sets.whole.export(office, []).to_json()


def test_what_is_known_of_a_head_there_stays_and_gains_the_test(text, elsewhere):
    heads = HeadStore(elsewhere)
    heads.add_head(KnownHead(name="panel 3", note="ours"))
    SetStore(elsewhere).whole.restore(read_whole(text))
    [head] = heads.list_heads()
    assert head.stored.head == KnownHead(name="panel 3", note="ours")
    assert head.readings == len(READINGS)


def test_as_a_copy_the_heads_are_not_doubled(text, db, sets):
    copy = sets.whole.restore(read_whole(text), copy=True)
    assert len(HeadStore(db).tests_of(1)) == 1 and len(HeadStore(db).list_heads()) == 2
    assert next(s for s in sets.get_set(copy).sources if s.source.name == PANEL.name).tested


def test_the_next_day_knows_that_a_reading_is_from_a_test(text, sets):
    copied = sets.days.duplicate(1)
    assert next(s for s in sets.get_set(copied).sources if s.source.name == PANEL.name).tested


def test_a_test_that_was_removed_since_comes_along_where_the_set_uses_it(text, db, sets, office, elsewhere):
    heads = HeadStore(db)
    heads.undo(next(c.id for c in heads.changes(1) if c.what == "test.begun"))
    whole = read_whole(sets.whole.export(office, []).to_json())
    assert [len(one.tests) for one in whole.heads] == [1]
    SetStore(elsewhere).whole.restore(whole)


def test_a_reading_from_a_test_that_is_not_there_is_refused(text):
    with pytest.raises(Refused, match="a reading is from test 7 of head 0, which is not in the file"):
        read_whole(text.replace('"test": 0', '"test": 7', 1))


def test_an_empty_set_is_a_file_still(sets):
    number = sets.create_set(OFFICE.model_copy(update={"sources": []}))
    assert read_whole(sets.whole.export(number, []).to_json()).heads == []
