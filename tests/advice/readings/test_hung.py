"""What hangs, used otherwise than it was read, for another target, or not what was decided."""

import pytest

from advisor.advice.after_hanging.check import predicted_of
from advisor.advice.plan.questions import by_hand
from advisor.model import Reach, Reading, Setting, Source, Stage, Target, Work
from advisor.model.sets.behind import with_found
from tests.advice.lamps import checked, hung, lamp, plan, planckian, read


class TestAsUsed:
    """A reading behind what hangs belongs to the level and the modifier at which it was taken."""

    def at_two_levels(self, **used):
        low, high = planckian(2600), planckian(3000)
        source = Source(
            name="Lamp",
            kind="tungsten",
            reading=read(low, lux=200.0).model_copy(update={"level": 40}),
            readings=[read(high, lux=700.0).model_copy(update={"level": 75})],
            level=40,
        )
        gels = plan(source).alone.first.gels
        entry = by_hand(plan(source), 0, gels)
        work = Work(
            stage=Stage.CONFIRMED,
            gels=gels,
            predicted=predicted_of(entry),
            read_bare=plan(source).alone.source.reading,
            read_behind=read(low, gels, lux=200.0).model_copy(update={"level": 40}),
        )
        return source.model_copy(update={"work": work, **used}), (low, high), gels

    def test_another_level_is_to_be_read_again_and_back_it_is_confirmed(self):
        source, _, _ = self.at_two_levels()
        assert plan(source).alone.stage is Stage.CONFIRMED
        head = plan(source.model_copy(update={"level": 75})).alone
        assert (head.stage, head.check) == (Stage.HUNG, None)
        assert head.again == "Read at 40 %, used at 75 %: read it again"
        assert plan(source.model_copy(update={"level": 40})).alone.stage is Stage.CONFIRMED

    def test_another_modifier_too(self):
        source, _, _ = self.at_two_levels()
        soft = source.reading.model_copy(update={"modifier": "softbox"})
        head = plan(
            source.model_copy(update={"readings": [*source.readings, soft], "modifier": "softbox"})
        ).alone
        assert head.stage is Stage.HUNG
        assert head.again == "Read without a modifier, used with softbox: read it again"

    def test_read_there_it_is_checked_against_what_is_predicted_there(self):
        source, (_, high), gels = self.at_two_levels(level=75)
        work = with_found(
            source.work, read(high, gels, lux=700.0).model_copy(update={"level": 75})
        ).model_copy(update={"stage": Stage.HUNG})
        head = plan(source.model_copy(update={"work": work})).alone
        assert head.check.apart < 1 and head.check.stops == pytest.approx(0, abs=0.05)
        assert head.again == ""
        back = plan(source.model_copy(update={"work": work, "level": 40})).alone
        assert back.stage is Stage.CONFIRMED, "the reading at 40 % is kept"

    def test_nothing_read_is_nothing_to_read_again(self):
        source, _, _ = self.at_two_levels(level=75)
        work = source.work.model_copy(update={"read_behind": None, "stage": Stage.HUNG})
        head = plan(source.model_copy(update={"work": work})).alone
        assert (head.again, head.check, head.stage) == ("", None, Stage.HUNG)


class TestTargetChanged:
    WARM = Target(cct=3200, locus="planckian")

    def test_what_was_confirmed_says_what_to_take_off(self):
        true = planckian(3200)
        gels = ["CTB full", "Plus green 1/8"]
        source = hung(lamp(true), gels, read(true, gels, lux=1000), stage=Stage.CONFIRMED)
        assert plan(source).alone.stage is Stage.CONFIRMED
        head = plan(source, target=self.WARM).alone
        assert head.stage is Stage.HUNG and head.check.as_predicted
        assert sorted(head.swap.off) == sorted(gels) and not head.swap.on

    def test_what_hangs_unread_too(self):
        source = hung(lamp(planckian(3200)), ["CTB full", "Plus green 1/8"])
        work = source.work.model_copy(update={"steps_off": 0.5})
        head = plan(source.model_copy(update={"work": work}), target=self.WARM).alone
        assert head.check is None
        # Half a step beyond the tolerance is not worth a second sheet: the ⅛ plus green may stay.
        assert list(head.swap.off) == ["CTB full"] and head.swap.result.miss.steps < 3.5
        assert plan(source.model_copy(update={"work": work})).alone.swap is None

    def test_what_somebody_took_for_right_stays_so_for_its_target(self):
        true = planckian(3000)
        source = hung(lamp(planckian(3200)), ["CTB full"], read(true, ["CTB full"]), stage=Stage.CONFIRMED)
        left = checked(source).left
        assert left > 3
        work = source.work.model_copy(update={"steps_off": left})
        head = plan(source.model_copy(update={"work": work})).alone
        assert head.stage is Stage.CONFIRMED and head.swap is None and not head.check.reached
        assert plan(source.model_copy(update={"work": work}), target=self.WARM).alone.swap.off

    def test_the_dials_are_turned_where_it_reads_as_predicted(self):
        panel = Source(
            name="Panel",
            kind="led-white",
            reading=Reading(cct=5600, duv=0.001, lux=400, dial=Setting(cct=5600)),
            readings=[Reading(cct=3220, duv=0.0, lux=450, dial=Setting(cct=3200))],
            reach=Reach(cct_from=2700, cct_to=6500),
        )
        found = Reading(cct=5600, duv=0.001, lux=400)
        head = plan(
            hung(panel, [], found, dial=Setting(cct=5600), stage=Stage.CONFIRMED), target=self.WARM
        ).alone
        assert head.stage is Stage.HUNG
        assert head.swap.dial.cct == pytest.approx(3200, abs=150)


class TestMistake:
    def test_another_fraction_of_a_gel_is_named(self):
        true = planckian(3200)
        gels = ["CTB full", "Plus green 1/8"]
        got = checked(hung(lamp(true), gels, read(true, ["CTB 3/4", "Plus green 1/8"], lux=1000)))
        assert (got.mistake.of, got.mistake.instead) == ("CTB full", "CTB 3/4")
        assert "mired warmer" in got.mistake.reads and "stop brighter" in got.mistake.reads

    def test_a_lamp_that_drifted_is_no_mistake_where_its_light_says_otherwise(self):
        """As warm as behind the weaker gel, and much darker than that would be."""
        true = planckian(3200)
        found = read(true, ["CTB 3/4"], lux=1000, brightness=0.4)
        assert checked(hung(lamp(true), ["CTB full"], found)).mistake is None

    def test_what_is_as_predicted_is_no_mistake(self):
        true = planckian(3200)
        got = checked(hung(lamp(true), ["CTB 1/2"], read(true, ["CTB 1/2"], lux=1000)))
        assert got.as_predicted and got.mistake is None

    def test_a_drift_between_two_fractions_is_none(self):
        true = planckian(2950)
        got = checked(hung(lamp(planckian(3200)), ["CTB full"], read(true, ["CTB full"], lux=900)))
        assert not got.as_predicted and got.mistake is None
