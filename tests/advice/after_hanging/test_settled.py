"""What somebody said to be right stays right, until what is wanted moved by half a step from there."""

from dataclasses import replace

import pytest

from advisor.advice.after_hanging.check import predicted_of
from advisor.advice.after_hanging.next_move import Swap
from advisor.advice.after_hanging.out_of_date import change_unread
from advisor.advice.plan.questions import by_hand
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import Limits, Reach, Reading, Setting, Source, Stage, Target, Work
from tests.advice.lamps import RACK, TARGET, checked, hung, lamp, plan, planckian, read

GELS = ["CTB 1/2"]


def confirmed(by, source=None, **work):
    """Return a source that was said to be right `by` so many steps further off than it now is."""
    source = source or hung(lamp(planckian(3200)), GELS, read(planckian(3200), GELS), stage=Stage.CONFIRMED)
    off = checked(source).left
    assert off > 10
    kept = source.work.model_copy(update={"steps_off": max(off - by, 0.0), **work})
    return source.model_copy(update={"work": kept})


class TestAsRead:
    @pytest.mark.parametrize(("moved", "settled"), [(-3, True), (0, True), (0.45, True), (0.55, False)])
    def test_half_a_step_further_off_is_moved(self, moved, settled):
        found = checked(confirmed(moved))
        assert (found.settled, found.moved) == (settled, not settled)
        head = plan(confirmed(moved)).alone
        assert head.stage is (Stage.CONFIRMED if settled else Stage.HUNG)
        assert (head.swap is None) is settled

    def test_what_nobody_said_to_be_right_did_not_move(self):
        for source in (confirmed(0, steps_off=None), confirmed(0, stage=Stage.HUNG)):
            found = checked(source)
            assert (found.settled, found.moved) == (False, False)

    def test_it_was_said_of_that_reading_alone(self):
        """Read again at another level, it is as far off as it was, and nobody said that this is right."""
        at_40 = {"level": 40}
        source = confirmed(0)
        there = source.work.read_behind.model_copy(update={"level": 75})
        source = source.model_copy(
            update={
                "reading": source.reading.model_copy(update=at_40),
                "readings": [source.reading.model_copy(update={"level": 75})],
                "work": source.work.model_copy(
                    update={
                        "read_behind": source.work.read_behind.model_copy(update=at_40),
                        "read_elsewhere": [there],
                    }
                ),
            }
        )
        here = plan(source.model_copy(update={"level": 40})).alone
        assert (here.check.settled, here.stage) == (True, Stage.CONFIRMED)
        other = plan(source.model_copy(update={"level": 75})).alone
        assert other.check.reading == there
        assert (other.check.settled, other.check.moved, other.stage) == (False, False, Stage.HUNG)

    def test_within_the_tolerance_is_settled_whatever_was_said(self):
        true = planckian(3200)
        gels = ["CTB full", "Plus green 1/8"]
        source = hung(lamp(true), gels, read(true, gels), stage=Stage.CONFIRMED)
        for left in (None, 0.0, 9.0):
            kept = source.work.model_copy(update={"steps_off": left})
            found = checked(source.model_copy(update={"work": kept}))
            assert (found.settled, found.moved) == (True, False)


class TestUnread:
    def head(self, by, **limits):
        source = hung(lamp(planckian(3200)), GELS, stage=Stage.CONFIRMED)
        off = by_hand(plan(source), 0, GELS).miss.steps
        work = source.work.model_copy(update={"steps_off": None if by is None else off - by})
        return plan(source.model_copy(update={"work": work}), limits=Limits(**limits)).alone, off

    @pytest.mark.parametrize(("by", "change"), [(0, False), (0.45, False), (0.55, True), (None, False)])
    def test_half_a_step_further_off_than_when_it_was_said_to_be_right_is_changed(self, by, change):
        head, _ = self.head(by)
        assert (head.swap is not None) is change

    def test_half_a_step_beyond_the_tolerance_too(self):
        _, off = self.head(0)
        assert self.head(off, tolerance_steps=off - 0.45)[0].swap is None
        assert self.head(off, tolerance_steps=off - 0.55)[0].swap is not None

    def test_of_stacks_that_look_the_same_the_smallest_change_counts_but_none_leaves_it_too_bright(self):
        made = plan(lamp(planckian(3200)))
        bare = replace(prepare(made.alone.source, RACK, white_of(TARGET, [])), over=2.0)
        hangs, dim, bright, dark = (
            by_hand(made, 0, gels).model_copy(update={"stops": stops})
            for gels, stops in (
                (["CTB 1/2"], 0.7),
                (["CTB full", "ND 0.3"], 2.0),
                (["CTB full"], 1.5),
                (["CTB full", "CTB 1/8", "ND 0.3"], 2.5),
            )
        )
        work = Work(stage=Stage.HUNG, gels=["CTB 1/2"], steps_off=0.0)
        # None is nearer than another, and fewer sheets are less likely close: none is better in what is told.
        dim, bright, dark = (
            stack.model_copy(update={"miss": dark.miss, "within": chance})
            for stack, chance in ((dim, 0.4), (bright, 0.4), (dark, 0.6))
        )

        def chosen(*stacks, same):
            marked = [s.model_copy(update={"same_as": k}) for s, k in zip(stacks, same, strict=True)]
            answer = made.alone.advice.model_copy(update={"stacks": marked})
            return change_unread(bare, work, hangs, answer, Limits()).result.gels

        assert chosen(dark, bright, dim, same=(None, 0, 0)) == dim.gels, (
            "half a stop too bright is no smaller change"
        )
        assert chosen(dark, bright, dim, same=(None, 0, None)) == dark.gels
        assert chosen(dark, dim, same=(None, None)) == dark.gels, "only those that look like the first"
        assert chosen(dark, bright, dim, same=(None, None, 1)) == dark.gels

    def test_of_a_head_with_dials_the_first_stack_counts_wherever_its_dials_are(self):
        panel = Source(
            name="Panel",
            kind="led-white",
            reading=Reading(cct=5600, duv=0.001, lux=400, dial=Setting(cct=5600)),
            readings=[Reading(cct=3220, duv=0.0, lux=450, dial=Setting(cct=3200))],
            reach=Reach(cct_from=2700, cct_to=6500),
        )
        source = hung(panel, [], dial=Setting(cct=5600))
        work = source.work.model_copy(update={"steps_off": 0.0})
        warm = Target(cct=3200, locus="planckian")
        head = plan(source.model_copy(update={"work": work}), target=warm).alone
        assert len(head.advice.stacks) > 1
        assert head.swap.result == head.advice.stacks[0]
        assert head.swap.dial == head.advice.stacks[0].dial != Setting(cct=5600)


def test_what_is_the_closest_is_said_to_be_that():
    """Beyond the tolerance, as predicted, and nothing that is there does better."""
    true = planckian(3000)
    only = Limits(only_gels=["CTB 1/8"], max_layers=1)
    found = checked(hung(lamp(true), ["CTB 1/8"], read(true, ["CTB 1/8"])), limits=only)
    assert found.as_predicted and not found.settled
    assert found.swap is not None and not found.swap.some
    assert found.smaller is None and found.mistake is None


def test_on_the_very_edge_is_within():
    found = replace(checked(confirmed(0)), apart=4.0, allowed=4.0, left=3.0, tolerance=3.0)
    assert found.as_predicted and found.reached
    assert not replace(found, apart=4.01).as_predicted and not replace(found, left=3.01).reached


def test_leaving_it_as_it_is_is_no_swap():
    entry = by_hand(plan(lamp(planckian(3200))), 0, GELS)
    assert not Swap((), (), entry).some
    assert Swap(("CTB 1/2",), (), entry).some and Swap((), ("CTB 1/2",), entry).some
    assert Swap((), (), entry, Setting(cct=5600)).some


def test_what_was_predicted_is_kept_with_light_only_where_there_was_any():
    source = lamp(planckian(3200))
    entry = by_hand(plan(source), 0, GELS)
    kept = predicted_of(entry)
    assert (kept.cct, kept.duv, kept.lux) == (entry.after.cct, entry.after.duv, entry.after.lux)
    assert kept.uncertainty_steps == entry.uncertainty_steps


def test_what_was_predicted_stays_so_after_another_bare_reading():
    """A later bare reading does not turn the prediction into what was read."""
    true = planckian(3200)
    source = hung(lamp(true), GELS, read(true, GELS))
    was = plan(source).alone.chosen.after
    again = Reading(cct=source.reading.cct + 30, duv=source.reading.duv)
    later = source.model_copy(update={"readings": [source.reading, read(true, GELS)], "reading": again})
    head = plan(later).alone
    assert head.check is not None and head.chosen.read is None
    assert (head.chosen.after.cct, head.chosen.after.duv) == (was.cct, was.duv)
