"""Where a head stood when it was read: kept with the reading, also of late ones, mends, and in files."""

from datetime import UTC, datetime, timedelta

import pytest

from advisor.imports.set_file import read_whole
from advisor.model import Reading, StandMove
from advisor.model.basis.base import utc_text
from advisor.store import SetStore
from advisor.store.sets import readings as reading_store
from tests.store.samples import OFFICE, export

START = datetime(2026, 3, 14, 16, 0, tzinfo=UTC)
READ = Reading(cct=4000, duv=0, lux=400)


@pytest.fixture
def clock(monkeypatch):
    """Set the laptop's clock to so many minutes after the start."""
    minutes = [0.0]
    monkeypatch.setattr(reading_store, "utc_now", lambda: utc_text(START + timedelta(minutes=minutes[0])))
    return lambda at: minutes.__setitem__(0, at)


@pytest.fixture
def head(sets: SetStore, clock):
    """A head that was read at once, and moved to twice its distance after half an hour."""
    head = sets.get_set(sets.create_set(OFFICE)).sources[0].id
    sets.add_reading(head, READ)
    clock(30)
    sets.change_source(head, {"stand": StandMove(times=2, done=True)})
    clock(60)
    return head


def places(sets, head):
    return [kept.reading.as_far for kept in sets.readings_of(head) if kept.reading.cct == 4000]


def test_a_reading_keeps_where_its_head_stood(sets, head):
    sets.add_reading(head, READ)
    assert places(sets, head) == [1, 2]
    source = sets.get_source(head).source
    assert (source.stand, source.as_far, source.stands_as_far) == (None, 2, 2)


def test_one_that_comes_in_late_is_of_where_it_stood_then(sets, head):
    sets.by("Bo", 45 * 60.0).add_reading(head, READ)
    assert places(sets, head) == [1, 1]
    assert sets.get_source(head).source.stand.done, "it is still to be metered where it stands"
    sets.by("Bo", 15 * 60.0).add_reading(head, READ)
    assert sorted(places(sets, head)) == [1, 1, 2]


def test_moves_add_up(sets, head):
    sets.add_reading(head, READ)
    sets.change_source(head, {"stand": StandMove(times=1.5, done=True)})
    sets.add_reading(head, READ)
    assert places(sets, head) == [1, 2, 3]


def test_a_mended_reading_stays_where_it_was_read(sets, head):
    sets.add_reading(head, READ)
    first = next(kept for kept in sets.readings_of(head) if kept.reading.cct == 4000)
    sets.mend(head, {first.id: READ.model_copy(update={"lux": 380.0})})
    counting = [kept.reading for kept in sets.readings_of(head) if not kept.struck]
    assert next(r.as_far for r in counting if r.lux == 380) == 1


def test_at_another_time_it_was_read_where_the_head_stood_then(sets, head):
    number = sets.add_reading(head, READ)
    sets.mend(head, {number: READ}, taken={number: utc_text(START + timedelta(minutes=10))})
    assert [kept.reading.as_far for kept in sets.readings_of(head) if not kept.struck][-1] == 1


def test_files_carry_it(sets, head):
    sets.add_reading(head, READ)
    kept = read_whole(export(sets, sets.get_source(head).set_id).to_json())
    assert kept.sources[0].source.as_far == 2
    assert [dated.reading.as_far for dated in kept.sources[0].readings][-2:] == [1, 2]
    again = sets.get_set(sets.whole.restore(kept, copy=True)).sources[0].source
    assert again.as_far == again.reading.as_far == 2


def test_files_of_heads_that_never_moved_say_nothing_of_it(sets):
    number = sets.create_set(OFFICE)
    assert "as_far" not in export(sets, number).to_json()


def test_a_move_back_is_where_it_was(sets, head):
    sets.add_reading(head, READ)
    sets.change_source(head, {"stand": StandMove(times=0.5, done=True)})
    assert sets.get_source(head).source.stands_as_far == 1
