"""What was decided and is not what is wanted now: hung wrong, out of date, over a limit; what may stay."""

import pytest

from advisor.advice.plan.needs import Needs, needs_of
from advisor.advice.plan.questions import by_hand
from advisor.model import Limits, NoGel, Reading, Source, Stage, Target, WantedOffset, Work
from advisor.web.wording.work import doing, on_paper
from tests.advice.lamps import TARGET, lamp, plan, planckian
from tests.web.page import plain

WINDOW = lamp(planckian(7000), "daylight")
RIGHT = ["CTO 1/4", "Plus green 1/8"]
WARM = Target(cct=3200, locus="planckian")


def decided(stage, gels, source=WINDOW, target=TARGET, **more):
    """Return a source with a stack as somebody decided for it, for a target."""
    entry = by_hand(plan(source, target=target), 0, gels)
    work = Work(stage=stage, gels=gels, read_bare=source.reading, steps_off=entry.miss.steps)
    return source.model_copy(update={"work": work.model_copy(update=more)})


def test_a_stack_that_leads_away_is_hung_wrong_from_the_start():
    made = plan(decided(Stage.HUNG, ["CTB full"]))
    head = made.alone
    assert head.best.miss.steps > 80 and head.change.off == ("CTB full",)
    assert "CTO 1/4" in head.change.on
    assert plain(doing(head)).startswith("Take off full CTB, hang ")
    assert plain(on_paper(head)).startswith("Hung full CTB. Take off full CTB, hang ")
    assert needs_of(head) is Needs.HANDS
    assert made.hung_wrong == [0] and made.out_of_date == []


def test_what_hangs_for_another_target_is_hung_wrong_however_far_off_it_was_then():
    """It was off the old target by more than it is off the new one; to the new one something is close."""
    far, near = Target(cct=25000), Target(cct=10000)
    head = plan(decided(Stage.HUNG, ["CTB 1/8"], target=far), target=near).alone
    assert head.source.work.steps_off > head.best.miss.steps > 5
    assert head.change.result.miss.steps < 3


@pytest.mark.parametrize(
    "source",
    [
        decided(Stage.HUNG, RIGHT),
        decided(Stage.HUNG, []),
        decided(Stage.CONFIRMED, ["CTB full"]),
        decided(Stage.HUNG, ["CTB full"], WINDOW.model_copy(update={"aim": WantedOffset(leave=True)})),
        decided(Stage.PLANNED, ["CTB full"]),
    ],
    ids=["right", "bare on purpose", "said to be right", "left as it is", "planned on purpose"],
)
def test_what_may_stay(source):
    head = plan(source).alone
    assert head.change is None and not head.outdated


@pytest.mark.parametrize("cct", [2790, 3055])
def test_a_plan_off_on_purpose_gives_way_once_another_light_is_read(cct):
    """An invented Fresnel, planned off the target; then its lamp was changed, and it was read bare."""
    first = Source(name="Fresnel", kind="tungsten", reading=Reading(cct=3060, duv=0.0002))
    planned = decided(Stage.PLANNED, ["CTB 1/2"], first, Target(cct=4300))
    assert not plan(planned, target=Target(cct=4300)).alone.outdated
    now = planned.model_copy(update={"reading": Reading(cct=cct, duv=0.0002), "readings": [first.reading]})
    head = plan(now, target=Target(cct=4300)).alone
    assert head.outdated is (cct == 2790)
    assert (head.as_told.best.gels == head.first.gels) is (cct == 2790)


def test_what_is_no_step_better_is_no_reason_to_climb():
    """Where less light and fewer layers speak for another, what hangs stays."""
    source = decided(Stage.HUNG, RIGHT)
    off = plan(source).alone.best.miss.steps
    for tolerance in (0.1, 0.3):
        head = plan(source.model_copy(update={"tolerance_steps": tolerance})).alone
        first = head.advice.stacks[0].miss.steps
        assert (head.change is not None) is (off > tolerance + 0.5 and first <= off - 1.0)


def test_what_gel_cannot_bring_in_is_taken_off_only_where_it_is_nearer_without():
    street = Source(name="Street", kind="sodium", reading=Reading(cct=2040, duv=-0.001))
    assert plan(decided(Stage.HUNG, ["CTB full"], street)).alone.change is None
    change = plan(decided(Stage.HUNG, ["CTO full"], street)).alone.change
    assert change.off == ("CTO full",) and change.on == ()


class TestPlans:
    def test_of_which_nobody_knows_what_they_left_are_looked_at_anew(self):
        """As those of the day before, once the target is another."""
        source = decided(Stage.PLANNED, RIGHT, steps_off=None)
        assert not plan(source).alone.outdated
        head = plan(source, target=WARM).alone
        assert head.outdated and plain(doing(head)).startswith("Planned: hang ¼ CTO and ⅛ plus green. Out of")

    def test_what_was_read_and_taken_the_day_before_is_planned_again_until_the_target_changes(self):
        """Behind a stack that was second the head read a little off, and nobody minded."""
        gels, wide = ["CTO 1/4"], WINDOW.model_copy(update={"tolerance_steps": 4.0})
        entry = by_hand(plan(wide), 0, gels)
        assert entry.miss.steps < 4 and plan(wide).alone.best.gels == RIGHT
        before = Reading(cct=entry.after.cct + 450, duv=entry.after.duv, gels=gels)
        source = decided(Stage.PLANNED, gels, wide, steps_off=None, read_day_before=before)
        head = plan(source).alone
        assert head.known and head.best.miss.steps > 5 and not head.outdated
        assert plan(source, target=WARM).alone.outdated

    @pytest.mark.parametrize(
        ("limits", "says"),
        [
            (Limits(max_layers=1), "1 layer at most"),
            (Limits(exclude_families=["CTO"]), "CTO is left out"),
            (Limits(only_gels=["CTO 1/4"]), "only what is cut for it"),
            (Limits(max_stops=0.2), "0.2 stop lost at most"),
        ],
    )
    def test_over_a_limit_are_out_of_date_and_say_which(self, limits, says):
        source = decided(Stage.PLANNED, ["CTO 1/8", "CTO 1/8"])
        assert not plan(source).alone.outdated
        head = plan(source, limits=limits).alone
        assert head.outdated and plain(head.over) == says

    def test_where_no_gel_may_hang_they_are_counted_bare(self):
        source = decided(Stage.PLANNED, ["CTO 1/4"]).model_copy(update={"no_gel": NoGel.HEAT})
        head = plan(source).alone
        assert head.outdated and head.over == "it takes no gel (too hot)"
        assert head.best.gels == []

    def test_what_hangs_where_none_may_is_hung_wrong(self):
        source = decided(Stage.HUNG, ["CTO 1/4"]).model_copy(update={"no_gel": NoGel.HEAT})
        head = plan(source).alone
        assert head.change.off == ("CTO 1/4",) and head.change.on == ()
        assert head.best.gels == ["CTO 1/4"], "it hangs until somebody takes it off"
