"""The chance that was stated when a stack was hung stays with it, as long as it is of the same question."""

import pytest

from advisor.advice.after_hanging.check import predicted_of
from advisor.advice.plan.questions import by_hand
from advisor.model import Kind, Predicted, Reading, Source, Stage, WantedOffset, Work
from tests.advice.lamps import plan

HEAD = Source(name="Head", kind=Kind.DISCHARGE, reading=Reading(cct=6800, duv=0.009))
GELS = ["CTO 1/4", "Minus green 1/8"]


def hung(predicted, left, **more):
    """Return the head as it is planned with what was predicted of it and how far off that was."""
    work = Work(stage=Stage.HUNG, gels=GELS, predicted=predicted, read_bare=HEAD.reading, steps_off=left)
    return plan(HEAD.model_copy(update={"work": work, **more})).alone.chosen


@pytest.fixture(scope="module")
def entry():
    """What is predicted of the stack."""
    return by_hand(plan(HEAD), 0, GELS)


@pytest.fixture(scope="module")
def kept(entry):
    """What was kept of it, with a chance that nothing would work out anew."""
    return predicted_of(entry, 3.0).model_copy(update={"within": 0.123})


def test_what_is_kept_is_what_was_stated(entry):
    kept = predicted_of(entry, 3.0)
    assert (kept.within, kept.tolerance_steps) == (entry.within, 3.0)


def test_it_stays_while_the_question_is_the_same(entry, kept):
    assert hung(kept, entry.miss.steps).within == 0.123


@pytest.mark.parametrize("more", [{"tolerance_steps": 6.0}, {"aim": WantedOffset(mired=25.0)}])
def test_another_tolerance_or_white_asks_anew(entry, kept, more):
    assert hung(kept, entry.miss.steps, **more).within != 0.123


def test_a_wider_tolerance_is_likelier(entry, kept):
    chances = [hung(kept, entry.miss.steps, tolerance_steps=steps).within for steps in (0.5, 2, 6, 20)]
    assert chances == sorted(chances) and chances[0] < 0.5 < chances[-1]


def test_a_record_without_it_is_read_and_a_chance_worked_out(entry):
    old = Predicted.model_validate({"cct": 5600, "duv": 0.0033, "uncertainty_steps": 3.0})
    assert (old.within, old.tolerance_steps) == (None, None)
    # A round normal scatter about the target, of which 90 % lie within r, has 1 - 0.1 ** ((t / r) ** 2)
    # within t (Rayleigh); 1.5 stands for 1.52 in the radius.
    assert hung(old, 0.0).miss.steps < 0.3
    assert hung(old, 0.0).within == pytest.approx(0.9, abs=0.03)
    assert hung(old, 0.0, tolerance_steps=1.5).within == pytest.approx(1 - 0.1**0.25, abs=0.03)


@pytest.mark.parametrize("lux", [None, 118.0, 240.0])
def test_light_that_was_read_is_never_called_predicted(kept, lux):
    """Nobody read the light bare, so nobody knew how much would be left."""
    read = Reading(cct=5150, duv=0.001, lux=lux, gels=GELS)
    work = Work(stage=Stage.HUNG, gels=GELS, predicted=kept, read_bare=HEAD.reading, read_behind=read)
    head = plan(HEAD.model_copy(update={"work": work, "readings": [read]})).alone
    assert head.check.reading.lux == lux
    assert head.chosen.after.lux is None
