"""A source that is another tested head than it was taken for, or two exchanged: one write, undone as one."""

import pytest

from advisor.model import UNREAD, AsTested, Kind, KnownHead, Reading, Source, Stage, Work
from advisor.store import Conflict, NotFound
from advisor.store.known_heads.heads import HeadStore
from advisor.store.sets.undo import Touched
from advisor.store.sets.units import OtherHead
from advisor.store.tables.writes import ReadingOfTest
from tests.heads import keep_tested
from tests.store.samples import OFFICE

OURS, THEIRS = "2026-03-01T08:00:00.000000Z", "2026-03-01T09:00:00.000000Z"


def unit(name: str, cct: float, at: str, note: str = "") -> OtherHead:
    """Return an invented spot as it was tested at three levels, warmer as it is dimmed."""
    taken = [
        ReadingOfTest(
            Reading(cct=cct - 2 * (100 - k), duv=0.0, lux=20 * k, level=k, tested_at=at), at, "Mia", 1
        )
        for k in (20, 50, 100)
    ]
    test = AsTested(head=name, doubt_steps=2.0)
    return OtherHead(
        Source(name=name, kind=Kind.TUNGSTEN, reading=UNREAD, note=note, watts=cct / 3, test=test), taken
    )


SPOT_1, SPOT_2 = unit("Spot 1", 3150, OURS, "dented"), unit("Spot 2", 3000, THEIRS)


@pytest.fixture
def both(db, sets):
    """Two spots on a set; the first is hung and read there, 3 010 K at full."""
    heads = HeadStore(db)
    keep_tested(heads)  # the test that readings of tests name
    heads.add_head(KnownHead(name="Spot 1", note="dented"))
    sets.create_set(OFFICE)
    ids = sets.add_tested(1, [(one.source, one.readings) for one in (SPOT_1, SPOT_2)])
    sets.change_source(ids[0], {"work": Work(stage=Stage.HUNG, gels=["CTB 1/2"])})
    sets.add_reading(ids[0], Reading(cct=3010, duv=0.0, level=100))
    return ids


def read_in_test(sets, source_id):
    return [r.reading.cct for r in sets.readings_of(source_id) if r.tested and r.counts]


def states(sets, ids):
    return [sets.get_source(k).source for k in ids]


def test_another_head_brings_its_test_and_what_was_read_here_stays_the_newest(sets, both):
    sets.delete_source(both[1])
    number = sets.by("Bo").units.be(1, {both[0]: SPOT_2})
    now = sets.get_source(both[0])
    assert now.source.name == "Spot 2" and now.source.test.head == "Spot 2" and now.source.watts == 1000
    assert now.source.reading.cct == 3010 and not now.tested
    assert read_in_test(sets, both[0]) == [2840, 2900, 3000]
    assert now.source.work.gels == ["CTB 1/2"] and now.source.note == ""
    assert HeadStore(sets.db).head_of_source(both[0], "none").head.name == "Panel 3"
    line = sets.record.lines(1, 1)[0]
    assert line.told.line == "Spot 1: it is Spot 2" and line.change.who == "Bo"
    assert line.stands and line.change.id == number


def test_undone_all_is_as_it_was_and_undoing_that_is_as_it_became(sets, both):
    before = states(sets, both)
    number = sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    became = states(sets, both)
    assert [one.name for one in became] == ["Spot 2", "Spot 1"]
    assert [read_in_test(sets, k)[-1] for k in both] == [3000, 3150]
    assert [one.note for one in became] == ["", "dented"]
    sets.units.undo(number)
    assert states(sets, both) == before
    assert [line.told.line for line in sets.record.lines(1, 2)] == [
        "Spot 1: it is Spot 2 again",
        "Spot 2: it is Spot 1 again",
    ]
    sets.units.undo(number)  # a retry does no harm
    assert states(sets, both) == before
    sets.undo(sets.history(1)[-1].id)
    assert states(sets, both) == became


def test_the_other_one_of_an_exchange_undoes_both(sets, both):
    before = states(sets, both)
    sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    sets.undo(sets.history(1)[-1].id)
    assert states(sets, both) == before


def test_a_reading_that_is_gone_is_brought_back_with_all_of_its_test(sets, both):
    before = states(sets, both)
    old = next(r.id for r in sets.readings_of(both[0]) if r.tested)
    sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    sets.bring_back(old)
    assert states(sets, both) == before


def test_a_name_of_its_own_stays(sets, both):
    sets.change_source(both[0], {"name": "Key"})
    sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    assert [one.name for one in states(sets, both)] == ["Key", "Spot 1"]
    assert sets.record.lines(1, 2)[1].told.line == "Key: it is Spot 2, was taken for Spot 1"


def test_a_name_that_another_source_has_gets_a_number(sets, both):
    sets.change_source(both[1], {"test": None})
    sets.units.be(1, {both[0]: SPOT_2})
    assert [one.name for one in states(sets, both)] == ["Spot 2 (2)", "Spot 2"]


def test_a_source_that_nobody_tested_counts_what_was_read_here_first(sets, both):
    lamp = sets.get_set(1).sources[1]
    sets.units.be(1, {lamp.id: SPOT_1})
    now = sets.get_source(lamp.id).source
    assert now.reading.cct == lamp.source.reading.cct and now.name == lamp.source.name
    assert read_in_test(sets, lamp.id) == [2990, 3050, 3150]
    assert sets.record.lines(1, 1)[0].told.line == f"{now.name}: it is Spot 1"
    sets.undo(sets.history(1)[-1].id)
    assert sets.get_source(lamp.id).source == lamp.source
    assert sets.record.lines(1, 1)[0].told.line == f"{now.name}: it is not Spot 1 after all"


def test_who_read_it_again_meanwhile_keeps_that(sets, both):
    number = sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    sets.add_reading(both[0], Reading(cct=2990, duv=0.0, level=100))
    sets.units.undo(number)
    now = sets.get_source(both[0]).source
    assert now.reading.cct == 2990 and now.name == "Spot 1" and read_in_test(sets, both[0])[-1] == 3150


def test_a_name_that_was_changed_since_is_in_the_way_and_nothing_is_undone(sets, both):
    number = sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    sets.by("Ada").change_source(both[1], {"name": "Rim"})
    now = states(sets, both)
    with pytest.raises(Touched) as touched:
        sets.units.undo(number)
    assert touched.value.by.who == "Ada" and states(sets, both) == now


def test_a_reading_of_the_test_struck_out_since_is_in_the_way(sets, both):
    number = sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    new = next(r.id for r in sets.readings_of(both[0]) if r.tested and r.counts)
    sets.by("Ada").strike(new)
    with pytest.raises(Touched) as touched:
        sets.units.undo(number)
    assert touched.value.by.who == "Ada"


def test_what_is_of_another_set_or_revision_is_refused(sets, both):
    sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1}, revision=1)
    with pytest.raises(Conflict):
        sets.units.be(1, {both[0]: SPOT_1}, revision=1)
    with pytest.raises(NotFound):
        sets.units.be(sets.create_set(OFFICE), {both[0]: SPOT_2})
    with pytest.raises(NotFound):
        sets.units.undo(sets.history(1)[0].id)


def test_it_comes_along_in_the_file_of_the_set(sets, both):
    sets.units.be(1, {both[0]: SPOT_2, both[1]: SPOT_1})
    copy = sets.whole.restore(sets.whole.export(1, []), copy=True)
    now, then = ([s.source for s in sets.get_set(k).sources][-2:] for k in (1, copy))
    assert [s.reading.cct for s in then] == [s.reading.cct for s in now]
    assert [s.test for s in then] == [s.test for s in now]
