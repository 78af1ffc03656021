"""Readings mended: the wrong one is struck out for one filed in its place, and back, in one change."""

import pytest

from advisor.imports.set_file import read_whole
from advisor.model import Reading, Stage, Work
from advisor.model.sets.behind import with_found
from advisor.store import Conflict, NotFound
from advisor.store.sets.undo import Touched
from tests.store.samples import LAMP, WINDOW, export

CTO = Work(stage=Stage.HUNG, gels=["CTO 1/2"], bare=WINDOW.reading)
RIGHT = Reading(cct=5394, duv=0.001)


@pytest.fixture
def window(sets, office) -> int:
    return sets.get_set(office).sources[0].id


@pytest.fixture
def lamp(sets, office) -> int:
    return sets.get_set(office).sources[1].id


@pytest.fixture
def hung(sets, window) -> int:
    sets.change_source(window, {"work": CTO})
    return window


def read(sets, number: int, cct: float, gels=()) -> int:
    return sets.add_reading(number, Reading(cct=cct, duv=0.001, gels=list(gels)))


def read_behind(sets, number: int, cct: float, level: float | None = None) -> int:
    work = sets.get_source(number).source.work
    reading = Reading(cct=cct, duv=0.0, level=level, gels=work.gels)
    return sets.add_reading(number, reading, with_found(work, reading), work)


def told(sets, number: int) -> list[tuple[float | None, bool]]:
    return [(r.reading.cct, r.struck is not None) for r in sets.readings_of(number)]


class TestOne:
    def test_it_counts_where_the_wrong_one_did_with_its_time_and_person(self, sets, window):
        wrong = read(sets.by("Al"), window, 7394)
        old = next(r for r in sets.readings_of(window) if r.id == wrong)
        now = sets.by("Bo").mend(window, {wrong: RIGHT})
        assert now.source.reading == RIGHT
        assert told(sets, window) == [(6800, False), (5600, False), (7394, True), (5394, False)]
        struck, new = sets.readings_of(window)[-2:]
        assert (new.taken_at, new.sent_at, new.who) == (old.taken_at, old.sent_at, "Al")
        assert (struck.struck.who, struck.struck.by) == ("Bo", new.id)

    def test_it_stays_behind_what_was_read_later(self, sets, lamp):
        wrong = sets.readings_of(lamp)[0].id
        newest = sets.get_source(lamp).source.reading
        sets.mend(lamp, {wrong: RIGHT})
        assert sets.get_source(lamp).source.reading == newest
        assert told(sets, lamp) == [(2750, True), (5394, False), (2600, False)]

    def test_of_two_filed_at_once_the_order_stays_however_often_it_is_mended(self, sets, office, window):
        both = [Reading(cct=7000, duv=0.0), Reading(cct=6000, duv=0.0)]
        sets.add_sources(office, [], {window: both})
        first = next(r.id for r in sets.readings_of(window) if r.reading == both[0])
        sets.mend(window, {first: RIGHT})
        again = next(r.id for r in sets.readings_of(window) if r.reading == RIGHT)
        sets.mend(window, {again: Reading(cct=5000, duv=0.0)})
        assert [cct for cct, struck in told(sets, window) if not struck] == [6800, 5600, 5000, 6000]
        assert sets.get_source(window).source.reading.cct == 6000

    def test_the_record_says_what_it_was_and_who_mended_it(self, sets, office, window):
        wrong = read(sets.by("Al"), window, 7394)
        sets.by("Bo").mend(window, {wrong: RIGHT})
        line = sets.record.lines(office, 1)[0]
        assert (line.told.line, line.change.who) == (
            "Window: fixed, read 5 394 K, Duv +0.0010, was 7 394 K",
            "Bo",
        )

    def test_what_says_the_same_is_no_change(self, sets, window):
        wrong = read(sets, window, 5394)
        now = sets.get_source(window)
        assert sets.mend(window, {wrong: RIGHT}) == now

    def test_one_that_was_struck_out_or_mended_meanwhile_is_not(self, sets, window):
        wrong = read(sets, window, 7394)
        sets.by("Al").mend(window, {wrong: Reading(cct=7294, duv=0.001)})
        before = told(sets, window)
        with pytest.raises(Conflict):
            sets.by("Bo").mend(window, {wrong: RIGHT})
        assert told(sets, window) == before

    def test_none_of_another_source_nor_of_a_removed_one(self, sets, window, lamp):
        wrong = read(sets, window, 7394)
        with pytest.raises(NotFound):
            sets.mend(lamp, {wrong: RIGHT})
        sets.delete_source(window)
        with pytest.raises(NotFound):
            sets.mend(window, {wrong: RIGHT})


class TestUndone:
    def test_it_is_as_before_and_undoing_that_as_after(self, sets, office, window):
        wrong = read(sets, window, 7394)
        before = sets.get_source(window).source
        after = sets.by("Bo").mend(window, {wrong: RIGHT}).source
        change = sets.history(office)[-1]
        sets.undo(change.id)
        assert sets.get_source(window).source == before
        assert told(sets, window) == [(6800, False), (5600, False), (7394, False), (5394, True)]
        undo = sets.history(office)[-1]
        assert (undo.undoes, sets.record.lines(office, 2)[1].undone) == (change.id, undo)
        sets.undo(undo.id)
        assert sets.get_source(window).source == after
        assert sets.readings_of(window)[2].struck.by == sets.readings_of(window)[3].id

    def test_bringing_the_wrong_one_back_undoes_it(self, sets, office, window):
        wrong = read(sets, window, 7394)
        before = sets.get_source(window).source
        sets.mend(window, {wrong: RIGHT})
        sets.bring_back(wrong)
        assert sets.get_source(window).source == before
        assert sets.history(office)[-1].undoes == sets.history(office)[-2].id

    def test_where_the_right_one_was_struck_out_both_can_come_back(self, sets, window):
        wrong = read(sets, window, 7394)
        sets.mend(window, {wrong: RIGHT})
        sets.strike(sets.readings_of(window)[-1].id)
        sets.bring_back(wrong)
        assert told(sets, window) == [(6800, False), (5600, False), (7394, False), (5394, True)]

    def test_not_where_it_was_mended_again(self, sets, office, window):
        wrong = read(sets, window, 7394)
        sets.mend(window, {wrong: RIGHT})
        first = sets.history(office)[-1]
        sets.by("Al").mend(window, {sets.readings_of(window)[-1].id: Reading(cct=5400, duv=0.001)})
        later = sets.history(office)[-1]
        for do in (lambda: sets.undo(first.id), lambda: sets.bring_back(wrong)):
            with pytest.raises(Touched) as touched:
                do()
            assert touched.value.by == later
        sets.undo(later.id)
        sets.undo(first.id)
        assert told(sets, window)[2] == (7394, False)


class TestBehind:
    def work(self, sets, number) -> Work:
        return sets.get_source(number).source.work

    def test_what_was_found_goes_with_it(self, sets, hung):
        wrong = read_behind(sets, hung, 7394)
        was = self.work(sets, hung)
        right = Reading(cct=5394, duv=0.0, gels=["CTO 1/2"])
        found = was.model_copy(update={"read_behind": right})
        sets.mend(hung, {wrong: right}, found, was)
        assert self.work(sets, hung) == found
        sets.bring_back(wrong)
        assert self.work(sets, hung) == was

    def test_a_later_reading_stays_the_newest_after_both(self, sets, hung):
        wrong = read_behind(sets, hung, 7394)
        was = self.work(sets, hung)
        right = Reading(cct=5394, duv=0.0, gels=["CTO 1/2"])
        sets.mend(hung, {wrong: right}, was.model_copy(update={"read_behind": right}), was)
        read_behind(sets, hung, 5500)
        sets.bring_back(wrong)
        assert self.work(sets, hung).read_behind.cct == 5500
        assert (7394, False) in told(sets, hung) and (5394, True) in told(sets, hung)

    def test_a_wrong_gel_is_one_change_and_its_undo_another(self, sets, office, hung):
        wrong = [read_behind(sets, hung, cct) for cct in (4700, 4720)]
        was = self.work(sets, hung)
        true = [Reading(cct=cct, duv=0.0, gels=["CTO full"], gels_checked=True) for cct in (4700, 4720)]
        now_hangs = Work(stage=Stage.HUNG, gels=["CTO full"], found=true[1])
        changes = len(sets.history(office))
        sets.by("Bo").mend(hung, dict(zip(wrong, true, strict=True)), now_hangs, was)
        assert len(sets.history(office)) == changes + 1
        assert self.work(sets, hung) == now_hangs
        assert sets.get_source(hung).source.readings[-2:] == true
        assert sets.record.lines(office, 1)[0].told.line.count("was behind CTO 1/2") == 2
        sets.undo(sets.history(office)[-1].id)
        assert self.work(sets, hung) == was
        assert all(r.gels == ["CTO 1/2"] for r in sets.get_source(hung).source.readings if r.gels)

    def test_not_undone_where_it_was_swapped_since(self, sets, office, hung):
        wrong = read_behind(sets, hung, 4700)
        was = self.work(sets, hung)
        true = Reading(cct=4700, duv=0.0, gels=["CTO full"])
        sets.mend(hung, {wrong: true}, Work(stage=Stage.HUNG, gels=["CTO full"], found=true), was)
        mend = sets.history(office)[-1]
        sets.change_source(hung, {"work": Work(stage=Stage.HUNG, gels=["CTO 1/4"])})
        with pytest.raises(Touched) as touched:
            sets.undo(mend.id)
        assert touched.value.by == sets.history(office)[-1]

    def test_other_work_meanwhile_is_a_conflict(self, sets, hung):
        wrong = read_behind(sets, hung, 4700)
        was = self.work(sets, hung)
        read_behind(sets, hung, 4710)
        with pytest.raises(Conflict):
            sets.mend(hung, {wrong: RIGHT}, CTO, was)


class TestWhole:
    def test_an_export_says_what_was_mended_and_the_copy_has_it(self, sets, office, window):
        wrong = read(sets, window, 7394)
        sets.by("Bo").mend(window, {wrong: RIGHT})
        whole = read_whole(export(sets, office).to_json())
        struck = whole.sources[0].readings[2].struck
        assert (struck.who, struck.by) == ("Bo", 3)
        copy = sets.whole.restore(whole, copy=True)
        restored = sets.get_set(copy).sources[0]
        assert restored.source == sets.get_source(window).source
        old, new = sets.readings_of(restored.id)[-2:]
        assert old.struck.by == new.id
        again = export(sets, copy)
        assert again.sources[0].readings == whole.sources[0].readings

    def test_lamp_is_another_source(self, sets, lamp):
        assert sets.get_source(lamp).source.readings == [LAMP.reading]
