"""Heads that are kept: tested, changed, removed, and each of that taken back."""

import pytest

from advisor.model import HeadTest, Kind, KnownHead, Reading, Refused, Source
from advisor.model.sets.reading import UNREAD
from advisor.store import Conflict, Database, NotFound, SetStore
from advisor.store.known_heads.heads import HeadStore
from advisor.store.known_heads.kept import OnSet
from advisor.store.tables.writes import ReadingOfTest
from tests.heads import PANEL, READINGS, TEST, keep_tested, read


@pytest.fixture
def heads(db: Database) -> HeadStore:
    return HeadStore(db)


def last(heads: HeadStore, what: str) -> int:
    """The newest change of a kind of the first head, by its id."""
    return next(c.id for c in heads.changes(1) if c.what == what)


def test_a_head_is_kept_as_it_was_given(heads: HeadStore):
    head_id = heads.add_head(PANEL)
    assert heads.get_head(head_id).head == PANEL


def test_two_heads_do_not_share_a_name(heads: HeadStore):
    heads.add_head(PANEL)
    with pytest.raises(Refused, match="there is a head called PANEL 3"):
        heads.add_head(KnownHead(name="PANEL 3"))


def test_a_test_holds_what_was_read_by_its_steps(heads: HeadStore):
    _, test_id = keep_tested(heads)
    test = heads.get_test(test_id)
    assert test.test == TEST
    assert {k: t.reading for k, t in test.readings.items()} == dict(enumerate(READINGS))
    assert test.unread == [4, 5]


def test_who_read_is_kept(heads: HeadStore):
    _, test_id = keep_tested(heads.by("Mia", "2026-01-02T03:04:05.000000Z"))
    taken = heads.get_test(test_id).readings[0]
    assert (taken.who, taken.taken_at) == ("Mia", "2026-01-02T03:04:05.000000Z")


def test_a_later_reading_of_a_step_counts(heads: HeadStore):
    _, test_id = keep_tested(heads)
    heads.take_reading(test_id, read(100, cct=5600))
    assert heads.get_test(test_id).readings[0].reading.cct == 5600
    heads.undo(last(heads, "reading.taken"))
    assert heads.get_test(test_id).readings[0].reading.cct == 5813
    heads.undo(last(heads, "reading.struck"))
    assert heads.get_test(test_id).readings[0].reading.cct == 5600


def test_what_a_test_does_not_ask_for_is_refused(heads: HeadStore):
    _, test_id = keep_tested(heads)
    with pytest.raises(Refused, match="the test asks for nothing at 75 %"):
        heads.take_reading(test_id, read(75))


def test_the_list_is_in_order_of_group_and_name_with_the_newest_test_that_was_read(heads: HeadStore):
    head_id, test_id = keep_tested(heads)
    heads.begin_test(head_id, TEST)
    heads.add_head(KnownHead(name="Alpha"))
    alpha, panel = heads.list_heads()
    assert (alpha.stored.head.name, alpha.test_id, alpha.readings) == ("Alpha", None, 0)
    assert (panel.test_id, panel.readings) == (test_id, 4)


def test_a_removed_test_is_gone_until_that_is_undone(heads: HeadStore):
    head_id, test_id = keep_tested(heads)
    heads.undo(last(heads, "test.begun"))
    assert heads.tests_of(head_id) == []
    with pytest.raises(NotFound):
        heads.get_test(test_id)
    heads.undo(last(heads, "test.removed"))
    assert [t.id for t in heads.tests_of(head_id)] == [test_id]


def test_a_change_is_undone_unless_the_head_was_changed_again(heads: HeadStore):
    head_id = heads.add_head(PANEL)
    heads.change_head(head_id, PANEL.model_copy(update={"kind": Kind.LED_MIX}))
    first = last(heads, "head.changed")
    heads.change_head(head_id, PANEL.model_copy(update={"note": "from the van"}))
    with pytest.raises(Refused, match="changed again since"):
        heads.undo(first)
    heads.undo(last(heads, "head.changed"))
    assert heads.undo(first).head == PANEL
    assert heads.undo(first).head == PANEL  # what was undone already stays so


def test_who_saw_an_older_head_does_not_write_over_it(heads: HeadStore):
    head_id = heads.add_head(PANEL)
    heads.change_head(head_id, PANEL.model_copy(update={"note": "one"}), revision=1)
    with pytest.raises(Conflict):
        heads.change_head(head_id, PANEL.model_copy(update={"note": "two"}), revision=1)


def test_a_removed_head_comes_back_with_its_test(heads: HeadStore):
    head_id, test_id = keep_tested(heads)
    heads.delete_head(head_id)
    assert heads.list_heads() == []
    assert [h.head.name for h in heads.removed_heads()] == ["Panel 3"]
    with pytest.raises(NotFound):
        heads.get_test(test_id)
    with pytest.raises(NotFound):
        heads.take_reading(test_id, read(100))
    heads.restore_head(head_id)
    assert len(heads.get_test(test_id).readings) == 4


def test_a_head_does_not_come_back_under_a_name_that_is_taken(heads: HeadStore):
    head_id = heads.add_head(PANEL)
    heads.delete_head(head_id)
    heads.add_head(PANEL)
    with pytest.raises(Refused, match="there is a head called Panel 3"):
        heads.restore_head(head_id)


def test_on_a_set_the_readings_keep_when_and_by_whom_they_were_taken(
    heads: HeadStore, sets: SetStore, office: int
):
    _, test_id = keep_tested(heads)
    at = "2026-01-02T03:04:05.000000Z"
    dish, full = (
        r.on_set.model_copy(update={"tested_at": at}) for r in (read(100, "dish", cct=5701), read(100))
    )
    source = Source(name="Window", reading=UNREAD)
    taken = [ReadingOfTest(dish, at, "Mia", test_id), ReadingOfTest(full, at, "Mia", test_id)]
    [added] = sets.add_tested(office, [(source, taken)])
    kept = sets.get_source(added)
    assert kept.source.name == "Window (2)"
    assert kept.source.reading == full
    assert kept.source.readings == [dish]
    assert (kept.taken_at, kept.who, kept.tested) == (at, "Mia", True)
    sets.add_reading(added, Reading(cct=5600, duv=0.0))
    assert not sets.get_source(added).tested


SEEN = "2026-05-12T09:00:00.000000Z"
FROM_SET = HeadTest(levels=[100], on_set="Diner")


@pytest.fixture
def on_set(sets: SetStore, office: int) -> OnSet:
    """Return a reading of a head on a set."""
    source = sets.add_source(office, Source(name="Panel 3", reading=Reading(cct=5700, duv=0.001, level=100)))
    [reading] = sets.readings_of(source)
    return OnSet(reading.id, read(100, cct=5700, duv=0.001), SEEN, "Bo")


def test_readings_from_a_set_are_kept_once_and_undone(heads: HeadStore, on_set: OnSet):
    head_id, test_id = keep_tested(heads)
    [kept] = heads.keep(head_id, [(FROM_SET, [on_set])])
    assert heads.keep(head_id, [(FROM_SET, [on_set])]) == []
    test = heads.get_test(kept)
    assert (test.test.on_set, test.begun_at, test.readings[0].who) == ("Diner", SEEN, "Bo")
    assert heads.not_kept(head_id, [on_set]) == []
    heads.undo(last(heads, "test.kept"))
    assert [t.id for t in heads.tests_of(head_id)] == [test_id]
    assert heads.not_kept(head_id, [on_set]) == [on_set]


def test_what_was_kept_again_does_not_come_back_twice(heads: HeadStore, on_set: OnSet):
    head_id, _ = keep_tested(heads)
    heads.keep(head_id, [(FROM_SET, [on_set])])
    heads.undo(last(heads, "test.kept"))
    heads.keep(head_id, [(FROM_SET, [on_set])])
    with pytest.raises(Refused, match="kept again since"):
        heads.undo(last(heads, "test.removed"))


def test_nothing_is_kept_to_a_head_that_was_removed(heads: HeadStore, on_set: OnSet):
    head_id, _ = keep_tested(heads)
    heads.delete_head(head_id)
    with pytest.raises(NotFound):
        heads.keep(head_id, [(FROM_SET, [on_set])])


def test_a_source_is_the_head_of_its_test_or_of_that_name(heads: HeadStore, sets: SetStore, office: int):
    head_id, test_id = keep_tested(heads)
    taken = [ReadingOfTest(read(100).on_set, SEEN, "", test_id)]
    [added] = sets.add_tested(office, [(Source(name="Key", reading=UNREAD), taken)])
    assert heads.head_of_source(added, "nobody").id == head_id
    assert heads.head_of_source(1, "panel 3").id == head_id
    assert heads.head_of_source(1, "Panel 4") is None


def test_several_heads_go_on_a_set_in_one_write(heads: HeadStore, sets: SetStore, office: int):
    _, test_id = keep_tested(heads)
    taken = [ReadingOfTest(read(100).on_set, SEEN, "", test_id)]
    before = sets.get_set(office).revision
    ids = sets.add_tested(office, [(Source(name="Panel", reading=UNREAD), taken)] * 3)
    now = sets.get_set(office)
    assert [s.source.name for s in now.sources[-3:]] == ["Panel", "Panel (2)", "Panel (3)"]
    assert [s.id for s in now.sources[-3:]] == ids
    assert now.revision == before + 1
