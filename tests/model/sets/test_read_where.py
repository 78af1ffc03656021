"""At which level and with which modifier a reading behind gels was taken, and which of them are kept."""

import pytest

from advisor.model import Reading, Source, Work
from advisor.model.sets.behind import (
    Conditions,
    found_in_use,
    same_but_filled_in,
    stand_in_use,
    stand_when_hung,
    with_found,
    without_found,
)


def read(cct=5600, level=None, modifier=""):
    return Reading(cct=cct, duv=0.0, level=level, modifier=modifier)


def work_with(*earlier, found=None, bare=None):
    return Work(gels=["CTB full"], read_bare=bare, read_behind=found, read_elsewhere=list(earlier))


def used(level=None, modifier=None, reading=None):
    return Source(name="Lamp", reading=reading or read(3200), level=level, modifier=modifier)


class TestSameReading:
    @pytest.mark.parametrize(
        ("level", "gels"), [(40, ["CTB full"]), (None, ["CTB full"]), (40, []), (None, [])]
    )
    def test_its_level_and_its_gels_may_be_filled_in_since(self, level, gels):
        whole = read(4500, 40).model_copy(update={"gels": ["CTB full"]})
        before = read(4500, level).model_copy(update={"gels": gels})
        assert same_but_filled_in(before, whole) and same_but_filled_in(whole, before)

    @pytest.mark.parametrize("other", [{"gels": ["CTB 1/2"]}, {"level": 100}, {"cct": 4510}])
    def test_another_gel_level_or_colour_is_another_reading(self, other):
        whole = read(4500, 40).model_copy(update={"gels": ["CTB full"]})
        assert not same_but_filled_in(whole, whole.model_copy(update=other))


class TestStand:
    @pytest.mark.parametrize("level", [1, 40, 100])
    def test_a_level_that_nobody_said_may_be_any(self, level):
        assert Conditions(None, "").agrees(Conditions(level, ""))
        assert Conditions(level, "").agrees(Conditions(None, ""))

    def test_levels_that_were_said_have_to_be_one(self):
        assert Conditions(0.1 + 0.2, "").agrees(Conditions(0.3, ""))
        assert not Conditions(40, "").agrees(Conditions(41, ""))
        assert not Conditions(100, "").agrees(Conditions(40, ""))

    def test_modifiers_are_one_whatever_the_case_of_their_letters(self):
        assert Conditions(40, "Softbox").agrees(Conditions(40, "SOFTBOX"))
        assert Conditions(40, "SOFTBOX").agrees(Conditions(40, "Softbox"))
        assert not Conditions(40, "Softbox").agrees(Conditions(40, "Grid"))
        assert not Conditions(40, "Softbox").agrees(Conditions(40, ""))

    @pytest.mark.parametrize(
        ("this", "other", "says"),
        [
            ((40, ""), (75, ""), "at 40 %"),
            ((40, "Grid"), (75, "Softbox"), "at 40 % with Grid"),
            ((40, ""), (40, "Softbox"), "without a modifier"),
            ((None, "Grid"), (75, ""), "with Grid"),
            ((40, "grid"), (40, "Grid"), ""),
        ],
    )
    def test_it_is_said_as_far_as_it_differs(self, this, other, says):
        assert Conditions(*this).beside(Conditions(*other)) == says

    def test_a_source_is_used_as_was_said_else_as_it_was_read(self):
        tagged = read(3200, level=60, modifier="Grid")
        assert stand_in_use(used(reading=tagged)) == Conditions(60, "Grid")
        assert stand_in_use(used(level=40, reading=tagged)) == Conditions(40, "Grid")
        assert stand_in_use(used(modifier="", reading=tagged)) == Conditions(60, "")
        assert stand_in_use(used(level=40)) == Conditions(40, "")

    def test_it_was_hung_as_it_was_read_bare(self):
        assert stand_when_hung(work_with(bare=read(3200, 40, "Grid"))) == Conditions(40, "Grid")
        assert stand_when_hung(work_with()) is None


class TestWhichHolds:
    def test_a_reading_without_a_level_was_taken_at_that_of_the_hanging(self):
        work = work_with(found=read(5500), bare=read(3200, 40))
        assert found_in_use(used(level=40), work).reading == read(5500)
        other = found_in_use(used(level=75), work)
        assert (other.reading, other.again) == (None, "Read at 40 %, used at 75 %: read it again")

    def test_its_own_level_goes_before_that_of_the_hanging(self):
        work = work_with(found=read(5500, 75), bare=read(3200, 40))
        assert found_in_use(used(level=75), work).reading == read(5500, 75)
        assert found_in_use(used(level=40), work).again == "Read at 75 %, used at 40 %: read it again"

    def test_where_nobody_knows_any_level_it_holds_at_all(self):
        assert found_in_use(used(level=75), work_with(found=read(5500))).reading == read(5500)

    def test_of_all_that_hold_the_newest_does(self):
        work = work_with(read(5300, 40), read(5400, 40), read(5700, 75), found=read(5800, 90))
        assert found_in_use(used(level=40), work).reading == read(5400, 40)
        assert found_in_use(used(level=90), work).reading == read(5800, 90)
        assert found_in_use(used(), work).reading == read(5800, 90)

    def test_nothing_read_is_nothing_to_say(self):
        found = found_in_use(used(level=40), work_with())
        assert (found.reading, found.again) == (None, "")


class TestKept:
    def test_only_those_taken_otherwise_are_kept_oldest_first(self):
        was = work_with(read(5300, 40), read(5400, 75, "Grid"), found=read(5500, 75))
        now = with_found(was, read(5600, 75))
        assert now.read_behind == read(5600, 75)
        assert now.read_elsewhere == [read(5300, 40), read(5400, 75, "Grid")]

    def test_the_first_is_alone(self):
        now = with_found(work_with(), read(5600, 75))
        assert (now.read_behind, now.read_elsewhere) == (read(5600, 75), [])

    def test_the_newest_twenty_are_kept_so_that_the_record_can_be_read(self):
        work = work_with()
        for level in range(1, 31):
            work = with_found(work, read(5000 + level, level))
        assert work.read_behind == read(5030, 30)
        assert [r.level for r in work.read_elsewhere] == list(range(10, 30))
        assert Work.model_validate_json(work.model_dump_json()) == work

    def test_what_holds_no_more_is_put_with_the_earlier_ones(self):
        work = work_with(*(read(5000 + level, level) for level in range(1, 21)), found=read(5021, 21))
        now = without_found(work)
        assert now.read_behind is None
        assert [r.level for r in now.read_elsewhere] == list(range(2, 22))
        assert Work.model_validate_json(now.model_dump_json()) == now
        assert without_found(now) == now
