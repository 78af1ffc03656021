"""What was done, undone: it is as before, unless somebody changed the same since."""

import threading

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.model import Kind, Limits, Reading, Refused, Role, Stage, Target, WantedOffset, Work
from advisor.model.sets.behind import with_found
from advisor.store import Database, NotFound, SetStore
from advisor.store.sets.undo import Touched
from advisor.store.tables import history
from tests.store.samples import CEILING, LAMP, OFFICE, WINDOW, export
from tests.strategies import STEADY
from tests.thorough import cases

HUNG = Work(stage=Stage.HUNG, gels=["CTO 1/2"])
SWAPPED = Work(stage=Stage.HUNG, gels=["CTO 1/4", "Plus green 1/8"])


@pytest.fixture
def window(sets) -> int:
    number = sets.create_set(OFFICE)
    return sets.get_set(number).sources[0].id


def last(sets, set_id=1):
    return sets.history(set_id)[-1]


def do(sets: SetStore, number: int, **fields) -> int:
    """Change a source, and return the number of the change."""
    now = sets.get_source(number)
    sets.update_source(number, now.source.model_copy(update=fields))
    return last(sets, now.set_id).id


class TestOfEachKind:
    @pytest.mark.parametrize(
        ("was", "made"),
        [
            (None, HUNG),
            (HUNG, SWAPPED),
            (HUNG, None),
            (HUNG, HUNG.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": 0.4})),
            (None, HUNG.model_copy(update={"stage": Stage.PLANNED})),
        ],
        ids=["hung", "swapped", "taken off", "confirmed", "planned"],
    )
    def test_what_was_decided_is_as_before(self, sets, window, was, made):
        do(sets, window, work=was)
        before = sets.get_source(window).source
        change = do(sets, window, work=made)
        sets.by("Mara").undo(change)
        assert sets.get_source(window).source == before
        undo = last(sets)
        assert (undo.what, undo.who, undo.undoes) == ("source.changed", "Mara", change)

    @pytest.mark.parametrize(
        "fields",
        [
            {"name": "Bay"},
            {"kind": Kind.UNKNOWN},
            {"note": "flickers"},
            {"keep": ["ND 0.3"]},
            {"aim": WantedOffset(leave=True)},
            {"level": 40.0, "modifier": "Grid"},
            {"watts": 650.0, "max_layers": 1, "role": Role.KEY},
        ],
        ids=lambda fields: next(iter(fields)),
    )
    def test_whatever_a_form_changed_is_as_before(self, sets, window, fields):
        before = sets.get_source(window).source
        sets.undo(do(sets, window, **fields))
        assert sets.get_source(window).source == before

    def test_a_removed_source_comes_back_with_its_number_and_its_work(self, sets, window):
        do(sets, window, work=HUNG)
        before = sets.get_source(window)
        sets.delete_source(window)
        sets.undo(last(sets).id)
        now = sets.get_source(window)
        assert (now.source, now.number, now.deleted) == (before.source, before.number, False)
        assert last(sets).undoes == sets.history(1)[-2].id

    def test_a_removed_set_comes_back(self, sets, window):
        sets.delete_set(1)
        assert [(s.id, s.name) for s in sets.removed_sets()] == [(1, "Office")]
        sets.undo(last(sets).id)
        assert not sets.get_set(1).deleted and sets.removed_sets() == []

    def test_what_a_set_was_told_is_as_before(self, sets, window):
        before = sets.get_set(1).light_set
        sets.update_set(1, name="Studio", target=Target(cct=4300), limits=Limits(max_layers=2), note="x")
        sets.undo(last(sets).id)
        assert sets.get_set(1).light_set == before

    def test_a_target_that_matched_a_source_matches_it_again_by_its_present_name(self, sets, window):
        sets.update_set(1, target=Target(source="Window"))
        sets.update_set(1, target=Target(cct=4300))
        change = last(sets).id
        do(sets, window, name="Bay")
        sets.undo(change)
        now = sets.get_set(1)
        assert (now.target.source, now.target_source_id) == ("Bay", window)


class TestAgain:
    def test_an_undo_is_undone_like_anything_else(self, sets, window):
        change = do(sets, window, work=HUNG)
        sets.undo(change)
        sets.undo(last(sets).id)
        assert sets.get_source(window).source.work == HUNG
        sets.undo(change)
        assert sets.get_source(window).source.work is None

    def test_twice_is_once(self, sets, window):
        change = do(sets, window, work=HUNG)
        sets.undo(change)
        count = len(sets.history(1))
        assert sets.undo(change).id == change
        assert len(sets.history(1)) == count

    def test_of_many_at_once_one_undoes(self, sets, window):
        change = do(sets, window, work=HUNG)
        threads = [threading.Thread(target=sets.undo, args=(change,)) for _ in range(6)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert [c.undoes for c in sets.history(1)].count(change) == 1
        assert sets.get_source(window).source.work is None

    def test_a_source_brought_back_from_its_page_counts_as_undone(self, sets, window):
        sets.delete_source(window)
        gone = last(sets).id
        sets.restore_source(window)
        lines = {line.change.id: line for line in sets.record.lines(1, 50)}
        assert lines[gone].undone == last(sets) and not lines[gone].stands


class TestLater:
    def test_what_was_hung_since_is_not_overwritten_and_is_named(self, sets, window):
        change = do(sets, window, work=HUNG)
        theirs = do(sets.by("Bo"), window, work=SWAPPED)
        before, count = sets.get_source(window), len(sets.history(1))
        with pytest.raises(Touched) as touched:
            sets.undo(change)
        assert (touched.value.by.id, touched.value.by.who) == (theirs, "Bo")
        assert (sets.get_source(window), len(sets.history(1))) == (before, count)
        sets.undo(theirs)
        sets.undo(change)
        assert sets.get_source(window).source.work is None

    def test_a_reading_behind_it_stands_in_the_way_until_it_is_struck_out(self, sets, window):
        change = do(sets, window, work=HUNG)
        reading = Reading(cct=5600, duv=0.002, gels=HUNG.gels)
        taken = sets.by("Bo").add_reading(window, reading, with_found(HUNG, reading), HUNG)
        with pytest.raises(Touched) as touched:
            sets.undo(change)
        assert (touched.value.by.what, touched.value.by.reading) == ("reading.added", taken)
        sets.strike(taken)
        sets.undo(change)
        assert sets.get_source(window).source.work is None

    def test_what_was_done_to_something_else_stays(self, sets, window):
        change = do(sets, window, work=HUNG)
        do(sets.by("Bo"), window, note="theirs", level=40.0)
        sets.add_reading(window, Reading(cct=6700, duv=0.004))
        sets.undo(change)
        now = sets.get_source(window).source
        assert (now.work, now.note, now.level, now.reading.cct) == (None, "theirs", 40, 6700)

    def test_of_a_set_only_what_the_change_touched_counts(self, sets, window):
        sets.update_set(1, limits=Limits(max_layers=2))
        change = last(sets).id
        sets.update_set(1, limits=Limits(max_layers=2, tolerance_steps=1.0))
        sets.undo(change)
        limits = sets.get_set(1).limits
        assert (limits.max_layers, limits.tolerance_steps) == (3, 1)
        sets.update_set(1, limits=Limits(max_layers=1, tolerance_steps=1.0))
        first = last(sets).id
        sets.by("Bo").update_set(1, limits=Limits(max_layers=2, tolerance_steps=1.0))
        with pytest.raises(Touched) as touched:
            sets.undo(first)
        assert touched.value.by.who == "Bo"

    def test_a_name_that_is_another_s_now_is_refused(self, sets, window):
        change = do(sets, window, name="Bay")
        sets.add_source(1, CEILING.model_copy(update={"name": "Window"}))
        with pytest.raises(Refused, match="there is a source called 'Window' in this set already"):
            sets.undo(change)

    def test_what_is_removed_is_not_found(self, sets, window):
        change = do(sets, window, work=HUNG)
        sets.delete_source(window)
        with pytest.raises(NotFound) as gone:
            sets.undo(change)
        assert gone.value.deleted

    def test_what_has_nothing_to_undo_is_refused(self, sets, window):
        sets.add_reading(window, WINDOW.reading)
        bare = last(sets).id
        do(sets, window, work=HUNG)
        reading = Reading(cct=5600, duv=0.002, gels=HUNG.gels)
        sets.add_reading(window, reading, with_found(HUNG, reading), HUNG)
        for change in (sets.history(1)[0].id, bare, last(sets).id):
            with pytest.raises(Refused, match="nothing to undo"):
                sets.undo(change)
        with pytest.raises(NotFound):
            sets.undo(999)

    def test_the_record_s_words_say_undone_and_go_into_the_file(self, sets, window):
        sets.undo(do(sets, window, work=HUNG))
        assert export(sets, 1).history[-1].what == "Window: undone: CTO 1/2 off again"

    @pytest.mark.parametrize(
        ("before", "after", "says"),
        [
            (HUNG, None, "CTO 1/2 hangs again"),
            (HUNG, SWAPPED, "CTO 1/2 hangs again"),
            (
                HUNG.model_copy(update={"gels": ["CTO 1/2", "CTO 1/8"]}),
                None,
                "CTO 1/2 and CTO 1/8 hang again",
            ),
            (HUNG, HUNG.model_copy(update={"stage": Stage.CONFIRMED}), "CTO 1/2 no longer confirmed"),
            (HUNG.model_copy(update={"stage": Stage.CONFIRMED}), None, "CTO 1/2 confirmed again"),
            (HUNG.model_copy(update={"stage": Stage.PLANNED}), HUNG, "CTO 1/2 planned again"),
            (None, HUNG.model_copy(update={"stage": Stage.PLANNED}), "CTO 1/2 no longer planned"),
            (HUNG.model_copy(update={"gels": []}), SWAPPED, "bare again"),
        ],
    )
    def test_an_undo_says_how_it_is_again(self, sets, window, before, after, says):
        if before:
            do(sets, window, work=before)
        sets.undo(do(sets, window, work=after))
        assert export(sets, 1).history[-1].what == f"Window: undone: {says}"


FIELDS = {
    "work": st.sampled_from([None, HUNG, SWAPPED]),
    "note": st.sampled_from(["", "a", "b"]),
    "level": st.sampled_from([None, 40.0, 80.0]),
    "name": st.sampled_from(["Window", "Bay", "Door"]),
    "aim": st.sampled_from([WantedOffset(), WantedOffset(leave=True), WantedOffset(mired=20)]),
}
CHANGES = st.lists(
    st.sets(st.sampled_from(sorted(FIELDS)), min_size=1).flatmap(
        lambda names: st.fixed_dictionaries({name: FIELDS[name] for name in sorted(names)})
    ),
    min_size=1,
    max_size=6,
)


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory):
    with Database(tmp_path_factory.mktemp("undo") / "advisor.db") as db:
        yield SetStore(db)


def _made(sets: SetStore, changes) -> tuple[int, list[int]]:
    """Make the changes, and return the source with the numbers of those that changed something."""
    number = sets.create_set(OFFICE.model_copy(update={"sources": [WINDOW, LAMP]}))
    head = sets.get_set(number).sources[0].id
    done = []
    for fields in changes:
        count = len(sets.history(number))
        change = do(sets, head, **fields)
        done += [change] if len(sets.history(number)) > count else []
    return head, done


def _image(sets: SetStore, head: int):
    with sets.db.read() as conn:
        return history.source_image(conn, head)


@given(changes=CHANGES)
@settings(STEADY, max_examples=cases(60), suppress_health_check=[*HealthCheck])
def test_all_undone_from_the_last_to_the_first_leads_back_to_the_start(changes, shared):
    head, done = _made(shared, changes)
    for change in reversed(done):
        shared.undo(change)
    assert shared.get_source(head).source == WINDOW


@given(changes=CHANGES, data=st.data())
@settings(STEADY, max_examples=cases(100), suppress_health_check=[*HealthCheck])
def test_any_one_is_undone_whole_or_not_at_all(changes, data, shared):
    head, done = _made(shared, changes)
    if not done:
        return
    number = data.draw(st.sampled_from(done))
    change = shared.change(number)
    before = shared.get_source(head).source
    was, made = ({**i, **i["details"]} for i in (change.before, change.after))
    fields = [name for name in FIELDS if was.get(name) != made.get(name)]
    later = [c for c in shared.history(change.set_id) if c.id > number and c.source_id == head]
    ends = {**later[-1].after, **later[-1].after["details"]} if later else made
    untouched = all(ends.get(name) == made.get(name) for name in fields)
    try:
        shared.undo(number)
    except Touched as touched:
        assert not untouched and touched.by in later
        assert shared.get_source(head).source == before
    else:
        assert untouched
        now = _image(shared, head)
        now |= now["details"]
        for name in FIELDS:
            assert now.get(name) == (was if name in fields else ends).get(name)
        shared.undo(last(shared, change.set_id).id)
        assert shared.get_source(head).source == before
