"""The order in which a crew goes to the heads, and what was hung and taken down on them."""

import pytest

from advisor.model import Opening, Reading, Refused, Source, Stage, Work
from tests.store.samples import export

PANE = Opening(width=1, height=2)


def hang(sets, number, *gels, **more):
    work = Work(stage=Stage.HUNG, gels=gels, **more) if gels else None
    return sets.change_source(number, {"work": work, "openings": [PANE]})


def hung(sets, office):
    return [
        (one.source, one.before.gels if one.before else [], one.after.gels if one.after else [])
        for one in sets.record.hung(office)
    ]


class TestTheWalk:
    def test_heads_are_walked_by_their_numbers_until_somebody_says_otherwise(self, sets, office):
        sets.add_source(office, Source(name="Third", reading=Reading(cct=3000, duv=0)))
        assert sets.get_set(office).walked == [0, 1, 2]
        assert sets.update_set(office, walk=[3, 1]).walked == [2, 0, 1], "who is not in it comes last"

    def test_it_stays_when_a_head_is_removed_and_comes_back(self, sets, office):
        sets.update_set(office, walk=[2, 1])
        sets.delete_source(1)
        assert sets.get_set(office).walked == [0]
        sets.restore_source(1)
        assert sets.get_set(office).walked == [1, 0]

    def test_the_next_day_and_the_file_of_the_set_have_it(self, sets, office):
        sets.update_set(office, walk=[2, 1])
        assert sets.get_set(sets.days.duplicate(office)).walked == [1, 0]
        assert export(sets, office).set.walk == [2, 1]

    def test_a_change_of_it_is_on_the_record_and_can_be_undone(self, sets, office):
        sets.update_set(office, walk=[2, 1])
        line = sets.record.lines(office, 1)[0]
        assert line.told.line == "Set changed: order of the heads"
        sets.undo(line.change.id)
        assert sets.get_set(office).walk == ()

    def test_a_number_that_no_head_can_bear_is_refused(self, sets, office):
        with pytest.raises(Refused):
            sets.update_set(office, walk=[0])


class TestWhatWasHung:
    def test_each_change_of_what_hangs_is_told_with_its_openings(self, sets, office):
        assert hung(sets, office) == [("Window", [], ["CTO 1/2"])]
        hang(sets, 1, "ND 0.3", reused=["ND 0.3"])
        assert hung(sets, office)[1:] == [("Window", ["CTO 1/2"], ["ND 0.3"])]
        last = sets.record.hung(office)[-1]
        assert (last.openings, last.after.reused) == ((PANE,), ["ND 0.3"])

    def test_what_is_only_planned_hangs_nowhere(self, sets, office):
        sets.change_source(2, {"work": Work(gels=["CTO 1/2"])})
        assert hung(sets, office)[1:] == [("Desk lamp", [], [])]

    def test_what_was_undone_was_not_hung_and_what_was_done_again_was(self, sets, office):
        hang(sets, 1)
        down = sets.history(office)[-1]
        sets.undo(down.id)
        assert len(hung(sets, office)) == 1
        sets.undo(sets.history(office)[-1].id)
        assert hung(sets, office)[-1] == ("Window", ["CTO 1/2"], [])

    def test_a_gel_that_was_mistaken_for_another_was_not_taken_down(self, sets, office):
        now = sets.get_source(1)
        behind = sets.readings_of(1)[-1]
        work = now.source.work.model_copy(update={"gels": ["ND 0.3"]})
        sets.mend(
            1, {behind.id: behind.reading.model_copy(update={"gels": ["ND 0.3"]})}, work, now.source.work
        )
        assert len(hung(sets, office)) == 1
