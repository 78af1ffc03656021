"""A head that was dimmed once its gels hung, where nobody had said at which level it was read bare."""

import pytest

from advisor.model import Limits, Reading, Source, Stage, Target, Work
from advisor.web.wording.runners_up import runners_up
from tests.advice.lamps import hung, lamp, off_target, plan, planckian, read

GELS = ["CTB full"]
HALF = 50.0


@pytest.fixture
def dimmed():
    """Return the head with what was read behind its gels at half, and what was read bare there, if it was."""
    source = hung(lamp(planckian(3200), lux=1500.0), GELS)

    def at_half(found, *bare):
        work = source.work.model_copy(update={"read_bare": source.reading, "read_behind": found})
        readings = [source.reading, *bare]
        told = {"level": HALF, "work": work, "reading": readings[-1], "readings": readings[:-1]}
        return plan(source.model_copy(update=told)).alone

    return at_half


def behind(kelvin):
    return read(planckian(kelvin), GELS, lux=1500.0, brightness=0.5).model_copy(update={"level": HALF})


def test_what_was_read_behind_the_gels_at_the_level_in_use_judges_them(dimmed):
    head = dimmed(behind(3200))
    assert head.problems == ()
    assert head.check.left == pytest.approx(off_target(planckian(3200), GELS), abs=0.1)
    assert head.check.stops is None, "its light bare at that level is not known"
    assert "Nobody read it bare at 50 %: its light there is a guess." in head.notes


def test_a_bare_reading_there_says_how_bright_it_should_be(dimmed):
    bare = read(planckian(3200), lux=750.0).model_copy(update={"level": HALF})
    assert dimmed(behind(3200), bare).check.stops == pytest.approx(0.0, abs=0.1)


def test_without_any_reading_at_that_level_one_is_asked_for(dimmed):
    head = dimmed(None)
    assert head.check is None
    assert "a bare reading at 50 %" in head.problems[0].allowed
    elsewhere = behind(3200).model_copy(update={"level": None})
    assert dimmed(elsewhere).check is None, "that may have been read before it was dimmed"


@pytest.mark.parametrize("bare_level", [None, 100.0])
def test_after_a_swap_what_was_read_there_behind_the_stack_before_still_counts(bare_level):
    """An invented Fresnel: read bare at full, behind gels at 60 %, where it is used; then swapped unread."""
    bare = read(planckian(3000), lux=700.0).model_copy(update={"level": bare_level})
    found = read(planckian(2850), GELS, lux=190.0).model_copy(update={"level": 60.0})
    swapped = ["CTB full", "CTB 1/4"]
    work = Work(stage=Stage.HUNG, gels=swapped)
    source = Source(name="Fresnel", kind="tungsten", reading=bare, readings=[found], level=60.0, work=work)
    head = plan(source).alone
    assert head.problems == () and head.chosen.gels == swapped
    there = read(planckian(2850), swapped)
    assert 1e6 / head.chosen.after.cct == pytest.approx(1e6 / there.cct, abs=10)


def test_the_day_after_the_plan_stands_where_it_was_read_so_the_day_before():
    bare = read(planckian(3000), lux=700.0)
    found = read(planckian(2850), GELS, lux=190.0).model_copy(update={"level": 60.0})
    work = Work(stage=Stage.PLANNED, gels=GELS, read_bare=bare, read_day_before=found)
    head = plan(Source(name="Fresnel", kind="tungsten", reading=bare, level=60.0, work=work)).alone
    assert head.problems == () and head.chosen.gels == GELS


class TestReadBehindTheSameStackBefore:
    """A Fresnel, invented, that was read behind its stack before it was dimmed: nobody noted that level."""

    STACK = ("CTB 1/2", "CTB 1/4", "Plus green 1/8")
    FIRST = Reading(cct=3180, duv=-0.0005, lux=900)

    def head(self, *, level=None, bare=(), target=4800):
        full, low = (
            Reading(cct=cct, duv=duv, level=at, gels=list(self.STACK))
            for cct, duv, at in ((4760, 0.0027, None), (4300, 0.0024, 60))
        )
        work = Work(stage=Stage.HUNG, gels=list(self.STACK), read_bare=self.FIRST, read_behind=low)
        readings = [self.FIRST, full, low, *bare]
        told = {"level": level, "work": work, "reading": [self.FIRST, *bare][-1], "readings": readings}
        source = Source(name="Fresnel", kind="tungsten", **told)
        return plan(source, target=Target(cct=target, locus="daylight")).alone

    @pytest.mark.parametrize(
        "told",
        [{}, {"level": 60}, {"level": 60, "bare": (Reading(cct=2940, duv=-0.0002, level=60),)}],
        ids=["as typed", "in use so", "read bare so"],
    )
    def test_only_what_was_read_since_counts_and_all_say_one_thing(self, told):
        """It hung 9.6 steps off, “closest there is”, while another one 4 steps off was “advised now”."""
        head = self.head(**told)
        [hangs] = [s for s in head.advice.stacks if sorted(s.gels) == sorted(self.STACK)]
        assert hangs.miss.steps == pytest.approx(head.check.left, abs=0.01) == pytest.approx(9.6, abs=0.1)
        assert head.due and not head.closest_hangs
        assert head.due.result.miss.steps < 3.0 and "CTB full" in head.due.on

    def test_a_stack_that_the_next_move_passes_over_is_not_advised_in_the_list(self):
        work = Work(
            stage=Stage.HUNG,
            gels=list(self.STACK),
            read_bare=self.FIRST,
            read_behind=Reading(cct=4760, duv=0.0027, gels=list(self.STACK)),
        )
        source = Source(name="Fresnel", kind="tungsten", reading=self.FIRST, work=work)
        head = plan(source, target=Target(cct=5000, locus="daylight")).alone
        assert head.closest_hangs and head.due is None
        said = {one.why for one in runners_up(head, Limits())}
        assert "This is advised now." not in said and "Not likely to come nearer." in said
