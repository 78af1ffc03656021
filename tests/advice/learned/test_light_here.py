"""Light for where a stand is now, by hand-worked inverse squares; colour is as it was read."""

import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.learned.light_here import lit_here, unread_here
from advisor.advice.overview.ratios import key_to_fill
from advisor.advice.plan.make import make_plan
from advisor.model import AdviceRequest, Limits, Reading, Role, Source, StandMove, Target
from tests.advice.lamps import SHIPPED

TARGET = Target(cct=3200)


def head(name="Key", lux=100.0, **own):
    return Source(name=name, kind="tungsten", reading=Reading(cct=3200, duv=0, lux=lux), **own)


@pytest.mark.parametrize(("times", "lux"), [(2.0, 25.0), (0.5, 400.0), (1.4, 51.02)])
def test_light_goes_by_the_inverse_square(times, lux):
    moved = head(stand=StandMove(times=times, done=True))
    assert lit_here(moved).reading.lux == pytest.approx(lux, rel=1e-3)
    assert lit_here(head(stand=StandMove(times=times))).reading.lux == 100, "it was not moved yet"


def test_what_is_told_for_here_already_stays_so():
    once = lit_here(head(as_far=2))
    assert lit_here(once) is once
    assert lit_here(once.model_copy(update={"as_far": 4.0})).reading.lux == pytest.approx(100 / 16)
    assert lit_here(once.model_copy(update={"as_far": 1.0})).reading.lux == pytest.approx(100)


def test_what_was_read_here_is_as_it_was_read():
    here = Reading(cct=3200, duv=0, lux=30, as_far=2)
    moved = head(as_far=2).model_copy(update={"reading": here, "readings": [head().reading]})
    assert [r.lux for r in (lit_here(moved).reading, *lit_here(moved).readings)] == [30, 25]
    assert not unread_here(moved)
    assert unread_here(head(as_far=2)) and not unread_here(head())


def test_answers_and_ratios_are_of_where_heads_stand():
    """A key at half its distance gives four times its 100 lx: 400 : 100, lit side to fill side 5 : 1."""
    key, fill = head(role=Role.KEY, as_far=0.5), head("Fill", role=Role.FILL)
    told = advise(AdviceRequest(target=TARGET, sources=[key, fill]), SHIPPED).sources
    bare = [next(s for s in one.stacks if not s.gels).after.lux for one in told]
    assert bare == pytest.approx([400, 100])
    plan = make_plan([key, fill], TARGET, Limits(), SHIPPED)
    assert key_to_fill(plan, gelled=False).lit.text == "5:1"


def test_light_of_an_earlier_reading_is_of_where_that_was_read():
    """Read at 100 lx, moved to twice as far, and read there without lux: 25 lx, which nobody metered."""
    colour = Reading(cct=3200, duv=0, as_far=2)
    moved = head(as_far=2).model_copy(update={"reading": colour, "readings": [head().reading]})
    [planned] = make_plan([moved], TARGET, Limits(), SHIPPED).heads
    assert planned.source.reading.lux == pytest.approx(25)
    assert planned.source.reading.as_far == 1
