"""Heads out to a file and back: restored elsewhere, or made one with those there, and nothing doubled."""

import pytest

from advisor.imports.head_file import read_heads
from advisor.model import HeadTest, Kind, KnownHead, Refused
from advisor.model.sets.head_file import FiledHead, HeadFile
from advisor.store import Database, NotFound
from advisor.store.file.backup import back_up
from advisor.store.known_heads.heads import HeadStore
from tests.heads import PANEL, READINGS, TEST, keep_tested, read


@pytest.fixture
def laptops(tmp_path):
    """Two laptops, of which neither knows a head."""
    with Database(tmp_path / "a" / "advisor.sqlite") as a, Database(tmp_path / "b" / "advisor.sqlite") as b:
        yield HeadStore(a, "Mia"), HeadStore(b, "Bo")


def file_of(heads: HeadStore) -> HeadFile:
    """All heads of a laptop as a file, written and read back."""
    return read_heads(heads.exchange.export([h.stored.id for h in heads.list_heads()]).to_json())


def bring(file: HeadFile, to: HeadStore) -> bool:
    """Bring a file into a laptop, and say whether that changed anything."""
    seen = to.exchange.preview(file.heads)
    assert to.exchange.merge(file.heads, seen) == seen
    return any(one.changes for one in seen)


def known(heads: HeadStore) -> list[FiledHead]:
    """All that a laptop knows of its heads, but for when."""
    return heads.exchange.export([h.stored.id for h in heads.list_heads()]).heads


def test_what_was_read_beside_a_test_comes_along_into_the_same_test(laptops):
    a, b = laptops
    _, test_id = keep_tested(a)
    bring(file_of(a), b)
    a.take_reading(test_id, read(40, cct=5750), other=True)
    assert bring(file_of(a), b)
    [test] = b.tests_of(1)
    assert sorted(t.reading.level for t in test.readings.values()) == [10, 40, 50, 100, 100]
    b.take_reading(test.id, read(30, cct=5700), other=True)
    assert bring(file_of(b), a)
    assert not bring(file_of(a), b)
    assert [other.level for other in a.get_test(test_id).test.others] == [40, 30]


def test_a_test_takes_so_many_readings_of_what_it_does_not_ask_for(laptops):
    heads, _ = laptops
    _, test_id = keep_tested(heads)
    for level in range(11, 35):
        heads.take_reading(test_id, read(level), other=True)
    with pytest.raises(Refused, match="24 readings are at what the test does not ask for"):
        heads.take_reading(test_id, read(60), other=True)


def last(heads: HeadStore, what: str, head_id: int = 1) -> int:
    return next(c.id for c in heads.changes(head_id) if c.what == what)


def test_a_head_comes_back_elsewhere_as_it_was(laptops):
    here, there = laptops
    keep_tested(here)
    assert bring(file_of(here), there)
    assert known(there) == known(here)
    [test] = there.tests_of(1)
    assert [t.reading for t in test.readings.values()] == list(READINGS)
    assert {t.who for t in test.readings.values()} == {"Mia"}
    assert [c.what for c in there.changes(1)] == ["test.imported", "head.imported"]


def test_the_same_file_twice_changes_nothing(laptops):
    here, there = laptops
    _, test_id = keep_tested(here)
    here.take_reading(test_id, read(100, cct=5600))
    here.undo(last(here, "reading.taken"))
    file = file_of(here)
    assert bring(file, there)
    before, changes = known(there), there.changes(1)
    assert not bring(file, there) and not bring(file, here)
    assert known(there) == before and there.changes(1) == changes


def test_readings_of_one_test_from_both_laptops_stand_in_it(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    here.take_reading(1, read(50, "dish", cct=5690))
    there.take_reading(1, read(10, "dish", cct=5600))
    bring(file_of(here), there)
    bring(file_of(there), here)
    assert known(here) == known(there)
    assert here.get_test(1).unread == []
    assert there.changes(1)[0].what == "reading.imported"
    there.undo(last(there, "reading.imported"))
    assert there.get_test(1).unread == [4]


def test_the_newest_of_a_step_counts_wherever_it_was_read(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    early, late = "2030-01-01T10:00:00.000000Z", "2030-01-01T11:00:00.000000Z"
    here.by("Mia", early).take_reading(1, read(100, cct=5500))
    there.by("Bo", late).take_reading(1, read(100, cct=5400))
    bring(file_of(here), there)
    bring(file_of(there), here)
    assert {h.get_test(1).readings[0].reading.cct for h in laptops} == {5400}


def test_heads_of_one_name_become_one(laptops):
    here, there = laptops
    keep_tested(here)
    there.add_head(KnownHead(name="PANEL 3"))
    there.begin_test(1, HeadTest(levels=[100]))
    bring(file_of(here), there)
    assert len(there.list_heads()) == 1
    assert len(there.tests_of(1)) == 2


def test_the_newer_value_of_a_field_wins_and_the_other_fields_stay(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    there.change_head(1, PANEL.model_copy(update={"note": "from there", "group": "Old"}))
    here.change_head(1, PANEL.model_copy(update={"note": "from here"}))
    [plan] = there.exchange.preview(file_of(here).heads)
    assert [(f.name, f.ours, f.theirs, f.taken) for f in plan.fields] == [
        ("group", "Old", "Panels", False),
        ("note", "from there", "from here", True),
    ]
    bring(file_of(here), there)
    bring(file_of(there), here)
    for heads in laptops:
        assert heads.get_head(1).head == PANEL.model_copy(update={"group": "Old", "note": "from here"})


def test_what_nobody_gave_does_not_overrule_what_somebody_did(laptops):
    here, there = laptops
    here.add_head(KnownHead(name="A", kind=Kind.TUNGSTEN, note="warm"))
    there.add_head(KnownHead(name="A"))
    bring(file_of(there), here)
    assert here.get_head(1).head.kind is Kind.TUNGSTEN
    bring(file_of(here), there)
    assert there.get_head(1).head == here.get_head(1).head


def test_what_came_from_elsewhere_keeps_the_time_when_it_was_changed(laptops):
    here, there = laptops
    here.add_head(KnownHead(name="A", note="first"))
    bring(file_of(here), there)
    old = file_of(here)
    there.change_head(1, KnownHead(name="A", note="second"))
    bring(old, there)
    assert there.get_head(1).head.note == "second"


def test_a_head_that_was_renamed_is_found_by_its_test(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    there.change_head(1, PANEL.model_copy(update={"name": "Panel 7"}))
    assert bring(file_of(there), here)
    assert [h.stored.head.name for h in here.list_heads()] == ["Panel 7"]


def test_a_name_that_another_head_has_here_is_not_taken(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    there.change_head(1, PANEL.model_copy(update={"name": "Panel 7"}))
    here.add_head(KnownHead(name="panel 7"))
    bring(file_of(there), here)
    assert [h.stored.head.name for h in here.list_heads()] == ["panel 7", "Panel 3"]


def test_what_was_removed_stays_removed_and_gains_what_was_read(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    there.delete_head(1)
    here.take_reading(1, read(10, "dish"))
    [plan] = there.exchange.preview(file_of(here).heads)
    assert plan.into is not None and plan.into.deleted
    bring(file_of(here), there)
    assert there.list_heads() == []
    there.restore_head(1)
    assert 5 in there.get_test(1).readings


def test_a_test_that_was_removed_is_not_in_the_file_and_does_not_come_back(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    there.undo(last(there, "test.imported"))
    assert file_of(there).heads[0].tests == []
    assert not bring(file_of(here), there)
    assert there.tests_of(1) == []


def test_what_was_struck_out_is_struck_out_there_unless_it_was_brought_back_since(laptops):
    here, there = laptops
    keep_tested(here)
    bring(file_of(here), there)
    here.undo(last(here, "reading.taken"))
    file = file_of(here)
    bring(file, there)
    assert 3 not in there.get_test(1).readings
    there.undo(last(there, "reading.struck"))
    assert not bring(file, there)
    assert 3 in there.get_test(1).readings


def test_a_file_that_changes_something_else_by_now_changes_nothing(laptops):
    here, there = laptops
    keep_tested(here)
    file = file_of(here)
    seen = there.exchange.preview(file.heads)
    there.add_head(PANEL)
    assert there.exchange.merge(file.heads, seen) != seen
    assert there.tests_of(1) == []


def test_a_removed_head_is_in_no_file(laptops):
    here, _ = laptops
    keep_tested(here)
    here.delete_head(1)
    with pytest.raises(NotFound):
        here.exchange.export([1])


def test_many_heads_merge_as_one(laptops):
    here, there = laptops
    for k in range(40):
        test = here.begin_test(here.add_head(KnownHead(name=f"Head {k}")), TEST)
        here.take_reading(test, read(100, cct=5000 + k))
    assert bring(file_of(here), there)
    assert not bring(file_of(here), there)
    assert known(there) == known(here)


def test_a_backup_holds_the_heads(laptops, tmp_path):
    here, _ = laptops
    keep_tested(here)
    (tmp_path / "c").mkdir()
    back_up(tmp_path / "a", tmp_path / "c" / "advisor.sqlite")
    with Database(tmp_path / "c" / "advisor.sqlite") as copy:
        assert known(HeadStore(copy)) == known(here)


@pytest.mark.parametrize(
    ("old", "new", "where", "says"),
    [
        (
            '"advisor_heads": 1',
            '"advisor_heads": 2',
            "advisor_heads",
            "newer advisor (format 2, this one reads 1)",
        ),
        ('"advisor_heads": 1', '"advisor_set": 2', "", "this is the record of a set: import it under Sets"),
        (
            '"cct": 5813.0',
            '"cct": 58.0',
            "heads[0].tests[0].readings[0].reading.cct",
            "CCT 58 is out of range",
        ),
        ('"level": 50.0', '"level": 60.0', "heads[0].tests[0]", "bare, which its test does not ask for"),
        ('"kind"', '"make"', "heads[0].head.make", "make is not a field here"),
        (
            '"changed": {',
            '"changed": {"colour": "2026-01-02T03:04:05Z",',
            "heads[0].changed",
            "'colour' is not a field of a head",
        ),
        ('{\n "advisor', "Head,CCT\n1,2", "", "this looks like a table (CSV), not a file of heads"),
    ],
)
def test_a_file_with_a_fault_says_where_and_what_is_allowed(laptops, old, new, where, says):
    here, _ = laptops
    keep_tested(here)
    text = here.exchange.export([1]).to_json()
    assert old in text
    with pytest.raises(Refused) as no:
        read_heads(text.replace(old, new, 1))
    assert any(p.where == where and says in p.says and p.allowed for p in no.value.problems)
