"""Readings struck out: they stay on the record with who and when, count nowhere, and come back."""

import json
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.imports.set_file import read_whole
from advisor.model import UNREAD, Reading, Stage, Work
from advisor.model.sets.behind import with_found, without_found
from advisor.store import Database, NotFound, SetStore, StoredSet
from tests.store.samples import LAMP, OFFICE, WINDOW, export
from tests.strategies import STEADY
from tests.thorough import cases

CTO = Work(stage=Stage.HUNG, gels=["CTO 1/2"], read_bare=WINDOW.reading)


@pytest.fixture
def window(sets, office) -> int:
    return sets.get_set(office).sources[0].id


@pytest.fixture
def lamp(sets, office) -> int:
    return sets.get_set(office).sources[1].id


def told(sets: SetStore, number: int) -> list[tuple[float | None, bool]]:
    return [(r.reading.cct, r.struck is not None) for r in sets.readings_of(number)]


def read_behind(sets: SetStore, number: int, cct: float, level: float | None = None) -> int:
    """Read a source behind what hangs, as the page does."""
    work = sets.get_source(number).source.work
    assert work
    reading = Reading(cct=cct, duv=0.0, level=level, gels=work.gels)
    return sets.add_reading(number, reading, with_found(work, reading), work)


class TestOne:
    def test_the_one_before_counts_again_and_it_stays_on_the_record(self, sets, lamp):
        newest = sets.readings_of(lamp)[-1].id
        now = sets.by("Mara").strike(newest)
        assert (now.source.reading, now.source.readings, now.readings) == (LAMP.reading, [], 2)
        struck = sets.readings_of(lamp)[-1]
        assert struck.struck and struck.struck.who == "Mara" and struck.struck.at > struck.taken_at
        change = sets.history(now.set_id)[-1]
        assert (change.what, change.who, change.reading) == ("reading.struck", "Mara", newest)

    def test_it_comes_back_whoever_brings_it(self, sets, lamp):
        before = sets.get_source(lamp)
        newest = sets.readings_of(lamp)[-1].id
        sets.strike(newest)
        assert sets.by("Bo").bring_back(newest) == replace(before, revision=before.revision + 2)
        assert told(sets, lamp) == [(2750, False), (2600, False)]
        assert sets.history(before.set_id)[-1].who == "Bo"

    def test_twice_is_once_and_the_first_one_stands(self, sets, lamp):
        newest = sets.readings_of(lamp)[-1].id
        first = sets.by("Mara").strike(newest)
        assert sets.by("Bo").strike(newest) == first
        assert sets.readings_of(lamp)[-1].struck.who == "Mara"
        sets.bring_back(newest)
        again = sets.get_source(lamp)
        assert sets.bring_back(newest) == again

    def test_all_of_them_leaves_no_reading_that_counts(self, sets, lamp):
        for reading in sets.readings_of(lamp):
            sets.strike(reading.id)
        now = sets.get_source(lamp)
        assert now.source.reading is UNREAD and now.source.bare_readings == []
        assert (now.taken_at, now.who, now.readings) == ("", "", 2)
        sets.add_reading(lamp, Reading(cct=2800, duv=0.001))
        assert sets.get_source(lamp).source.reading.cct == 2800

    def test_a_change_of_the_source_takes_no_reading_for_a_new_one(self, sets, lamp):
        for reading in sets.readings_of(lamp):
            sets.strike(reading.id)
        now = sets.get_source(lamp).source
        sets.update_source(lamp, now.model_copy(update={"note": "flickers"}))
        assert told(sets, lamp) == [(2750, True), (2600, True)]

    def test_none_of_a_removed_source_or_set_and_none_that_there_is_not(self, sets, office, lamp):
        newest = sets.readings_of(lamp)[-1].id
        with pytest.raises(NotFound):
            sets.strike(999)
        sets.delete_source(lamp)
        with pytest.raises(NotFound) as gone:
            sets.strike(newest)
        assert (gone.value.what, gone.value.deleted) == ("source", True)
        sets.restore_source(lamp)
        sets.delete_set(office)
        with pytest.raises(NotFound) as gone:
            sets.bring_back(newest)
        assert (gone.value.what, gone.value.deleted) == ("set", True)


class TestBehind:
    @pytest.fixture
    def hung(self, sets, window):
        source = sets.get_source(window).source
        sets.update_source(window, source.model_copy(update={"work": CTO}))
        return window

    def work(self, sets, number) -> Work:
        work = sets.get_source(number).source.work
        assert work
        return work

    def test_what_was_found_goes_and_comes_back(self, sets, hung):
        found = read_behind(sets, hung, 5600)
        before = self.work(sets, hung)
        sets.strike(found)
        assert self.work(sets, hung) == CTO
        assert sets.get_source(hung).behind.id != found
        sets.bring_back(found)
        assert self.work(sets, hung) == before

    def test_the_one_read_before_it_counts_again(self, sets, hung):
        read_behind(sets, hung, 5500)
        before = self.work(sets, hung)
        typo = read_behind(sets, hung, 7394)
        sets.strike(typo)
        assert self.work(sets, hung) == before

    def test_what_was_confirmed_by_it_is_only_hung(self, sets, hung):
        found = read_behind(sets, hung, 5600)
        source = sets.get_source(hung).source
        right = source.work.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": 0.4})
        sets.update_source(hung, source.model_copy(update={"work": right}))
        sets.strike(found)
        assert self.work(sets, hung) == CTO
        sets.bring_back(found)
        assert self.work(sets, hung) == right

    def test_what_was_confirmed_by_eye_before_stays_so(self, sets, hung):
        by_eye = CTO.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": 2.0})
        sets.update_source(hung, sets.get_source(hung).source.model_copy(update={"work": by_eye}))
        sets.strike(read_behind(sets, hung, 5600))
        assert self.work(sets, hung) == by_eye

    def test_one_that_is_not_the_newest_goes_from_what_is_kept_beside_it(self, sets, hung):
        half = read_behind(sets, hung, 5100, level=50)
        read_behind(sets, hung, 5600, level=100)
        assert [r.cct for r in self.work(sets, hung).read_elsewhere] == [5100]
        sets.strike(half)
        work = self.work(sets, hung)
        assert (work.read_behind.cct, work.read_elsewhere) == (5600, [])

    def test_what_was_read_otherwise_before_stays_beside_what_counts_again(self, sets, hung):
        read_behind(sets, hung, 5100, level=50)
        read_behind(sets, hung, 5500, level=100)
        before = self.work(sets, hung)
        sets.strike(read_behind(sets, hung, 7394, level=100))
        assert self.work(sets, hung) == before
        assert [r.cct for r in before.read_elsewhere] == [5100]

    def test_what_was_right_by_eye_at_another_level_is_so_again(self, sets, hung):
        read_behind(sets, hung, 5100, level=50)
        source = sets.get_source(hung).source
        by_eye = without_found(source.work).model_copy(update={"stage": Stage.CONFIRMED, "steps_off": 1.0})
        sets.update_source(hung, source.model_copy(update={"work": by_eye}))
        sets.strike(read_behind(sets, hung, 5600, level=100))
        assert self.work(sets, hung) == by_eye

    def test_what_hung_before_is_not_gone_back_to(self, sets, hung):
        read_behind(sets, hung, 5100)
        source = sets.get_source(hung).source
        found = Reading(cct=5200, duv=0.0, gels=["CTO 1/4"])
        swapped = Work(stage=Stage.HUNG, gels=["CTO 1/4"], read_behind=found)
        sets.update_source(hung, source.model_copy(update={"work": swapped}))
        sets.strike(read_behind(sets, hung, 5600))
        assert self.work(sets, hung) == swapped

    def test_where_the_history_came_as_words_it_says_nothing_more(self, sets, hung, office):
        read_behind(sets, hung, 5100, level=50)
        read_behind(sets, hung, 5600, level=100)
        copied = sets.get_set(sets.whole.restore(export(sets, office), copy=True)).sources[0].id
        half, full = [r.id for r in sets.readings_of(copied)][-2:]
        sets.strike(half)
        work = self.work(sets, copied)
        assert (work.read_behind.cct, work.read_elsewhere) == (5600, [])
        sets.strike(full)
        work = self.work(sets, copied)
        assert (work.stage, work.read_behind, work.gels) == (Stage.HUNG, None, ["CTO 1/2"])

    def test_of_two_alike_one_still_counts(self, sets, hung):
        first, second = read_behind(sets, hung, 5600), read_behind(sets, hung, 5600)
        before = self.work(sets, hung)
        sets.strike(second)
        assert self.work(sets, hung) == before
        sets.strike(first)
        assert self.work(sets, hung) == CTO

    def test_another_change_meanwhile_takes_nothing_from_what_comes_back(self, sets, hung):
        found = read_behind(sets, hung, 5600)
        before = self.work(sets, hung)
        sets.strike(found)
        source = sets.get_source(hung).source
        sets.update_source(hung, source.model_copy(update={"level": 40.0, "note": "dimmed"}))
        sets.bring_back(found)
        now = sets.get_source(hung).source
        assert (now.work, now.level, now.note) == (before, 40, "dimmed")

    def test_what_was_predicted_from_a_struck_bare_reading_is_not_held_against_it(self, sets, hung):
        bare = sets.readings_of(hung)[0]
        sets.add_reading(hung, Reading(cct=6700, duv=0.004))
        sets.strike(bare.id)
        assert self.work(sets, hung).read_bare is None
        sets.bring_back(bare.id)
        assert self.work(sets, hung) == CTO


class TestElsewhere:
    def test_a_file_holds_it_with_who_and_when_and_brings_it_back(self, sets, office, lamp):
        newest = sets.readings_of(lamp)[-1].id
        sets.by("Mara").strike(newest)
        there = read_whole(export(sets, office).to_json())
        copied = sets.get_set(sets.whole.restore(there, copy=True))
        here = copied.sources[1]
        assert here.source == sets.get_source(lamp).source
        assert [r.struck for r in sets.readings_of(here.id)] == [r.struck for r in sets.readings_of(lamp)]
        sets.bring_back(sets.readings_of(here.id)[-1].id)
        assert sets.get_source(here.id).source.reading.cct == 2600
        assert there.history[-1].what == "Desk lamp: struck out: read 2 600 K, Duv 0.0000, at 50 %"

    def test_a_file_of_a_head_of_which_nothing_counts_is_read_too(self, sets, office, lamp):
        for reading in sets.readings_of(lamp):
            sets.strike(reading.id)
        there = read_whole(export(sets, office).to_json())
        copied = sets.get_set(sets.whole.restore(there, copy=True))
        assert copied.sources[1].source.reading is UNREAD

    def test_a_file_without_it_reads_as_before(self, sets, office):
        found = json.loads(export(sets, office).to_json())
        assert all("struck" not in r for s in found["sources"] for r in s["readings"])

    def test_the_next_day_goes_by_what_counts(self, sets, office, lamp):
        sets.add_reading(lamp, Reading(cct=2900, duv=0.0))
        newest = sets.readings_of(lamp)[-1]
        sets.strike(newest.id)
        tomorrow = sets.get_set(sets.days.duplicate(office)).sources[1]
        assert told(sets, tomorrow.id) == [(2750, False), (2600, False)]

    def test_a_head_of_which_nothing_counts_has_its_last_reading_the_next_day_struck(
        self, sets, office, lamp
    ):
        for reading in sets.readings_of(lamp):
            sets.strike(reading.id)
        tomorrow = sets.get_set(sets.days.duplicate(office)).sources[1]
        assert told(sets, tomorrow.id) == [(2600, True)]
        assert tomorrow.source.reading is UNREAD

    def test_the_newest_behind_gels_is_one_that_counts(self, sets, window):
        behind = sets.get_source(window).behind
        sets.strike(behind.id)
        assert sets.get_source(window).behind is None


LEVELS = st.sampled_from([None, 50.0, 100.0])
EVENTS = st.lists(
    st.tuples(
        st.sampled_from(["behind", "behind", "bare", "hang", "swap", "confirm", "again", "use"]), LEVELS
    ),
    max_size=10,
).map(lambda events: [("hang", None), *events])


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory):
    """One store for all examples: each makes a set of its own."""
    with Database(tmp_path_factory.mktemp("struck") / "advisor.db") as db:
        yield SetStore(db)


def lived(sets: SetStore, events, without: frozenset[int] = frozenset()) -> tuple[int, dict[int, int]]:
    """Let a day happen, but for the readings of some places; return the set and the readings by place."""
    number = sets.create_set(OFFICE.model_copy(update={"sources": [WINDOW]}))
    head = sets.get_set(number).sources[0].id
    taken: dict[int, int] = {}
    for place, (what, level) in enumerate(events):
        source = sets.get_source(head).source
        work, cct = source.work, 5000.0 + place
        if what in ("bare", "behind"):
            if place in without:
                continue
            if what == "bare":
                taken[place] = sets.add_reading(head, Reading(cct=cct, duv=0.0, level=level))
            elif work:
                taken[place] = read_behind(sets, head, cct, level)
        else:
            wanted = {
                "hang": {"work": CTO},
                "swap": {"work": CTO.model_copy(update={"gels": [f"CTB {place}"]})},
                "confirm": {
                    "work": work and work.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": 0.5})
                },
                "again": {"work": work and without_found(work).model_copy(update={"stage": Stage.CONFIRMED})},
                "use": {"level": level},
            }[what]
            sets.update_source(head, source.model_copy(update=wanted))
    return number, taken


def state(now: StoredSet):
    [head] = now.sources
    return (head.source, head.readings, head.taken_at, head.behind, now.light_set)


@given(events=EVENTS, data=st.data())
@settings(STEADY, max_examples=cases(80), suppress_health_check=[*HealthCheck])
def test_striking_out_and_bringing_back_in_any_order_restores_everything(events, data, shared):
    number, _ = lived(shared, events)
    before = shared.get_set(number)
    every = [r.id for r in shared.readings_of(before.sources[0].id)]
    out = data.draw(st.permutations(every))[: data.draw(st.integers(0, len(every)))]
    for reading in out:
        shared.strike(reading)
    for reading in data.draw(st.permutations(out)):
        shared.bring_back(reading)
    assert state(shared.get_set(number)) == state(before)


@given(events=EVENTS, data=st.data())
@settings(STEADY, max_examples=cases(80), suppress_health_check=[*HealthCheck])
def test_what_is_struck_out_leaves_what_there_would_be_had_it_never_been_read(events, data, shared):
    # What was said by eye rests on no reading; of that, other tests tell.
    events = [e for e in events if e[0] not in ("confirm", "again")]
    number, taken = lived(shared, events)
    out = data.draw(st.sets(st.sampled_from(sorted(taken)))) if taken else set()
    for place in out:
        shared.strike(taken[place])
    never, _ = lived(shared, events, frozenset(out))
    assert shared.get_set(number).sources[0].source == shared.get_set(never).sources[0].source
