"""With gels, what hangs counts as it is to be swapped: on the plane, in the mix, in lux and in pairs."""

import pytest

from advisor.advice.overview.mix import mix
from advisor.advice.overview.ratios import lux_of, settled, then
from advisor.advice.overview.reference import whites_of_heads
from advisor.advice.plan.make import make_plan
from advisor.model import Limits, Source, Stage, Target, Work
from advisor.web.pictures.shift_plane import trails_of
from tests.advice.decided import hung_as
from tests.advice.lamps import SHIPPED, planckian, read

TARGET, LIMITS = Target(cct=5600), Limits()


KEY = Source(name="Key", kind="tungsten", reading=read(planckian(3200), lux=1000), on_subject=True)


def plan_of(source):
    return make_plan([source], TARGET, LIMITS, SHIPPED)


@pytest.fixture(scope="module")
def advised():
    return plan_of(KEY).heads[0].best


@pytest.fixture(scope="module")
def to_swap(advised):
    """A quarter CTB hangs, and what is advised is planned in its place."""
    planned = Work(stage=Stage.PLANNED, gels=advised.gels)
    work = Work(stage=Stage.HUNG, gels=["CTB 1/4"], read_bare=KEY.reading, instead=planned)
    return plan_of(KEY.model_copy(update={"work": work}))


@pytest.fixture(scope="module")
def swapped(advised):
    """What comes of it: the very head once that hangs."""
    return plan_of(hung_as(KEY, advised))


def test_the_white_is_that_after_the_swap(to_swap, swapped):
    [then_, there] = [whites_of_heads(plan, gelled=True)[0].cct for plan in (to_swap, swapped)]
    assert then_ == pytest.approx(there, rel=1e-3)
    assert whites_of_heads(to_swap)[0].cct < there - 1000, "now it is as it hangs"


def test_light_and_mix_are_those_after_the_swap(to_swap, swapped):
    assert lux_of(to_swap, 0, gelled=True) == pytest.approx(lux_of(swapped, 0, gelled=True), rel=0.01)
    one, other = (mix(plan, gelled=True, tolerance=3.0) for plan in (to_swap, swapped))
    assert one.cct == pytest.approx(other.cct, rel=1e-3)


def test_the_way_on_the_plane_ends_after_the_swap(to_swap, swapped):
    [[*_, end]], [[*_, there]] = trails_of(to_swap, [0]), trails_of(swapped, [0])
    assert end == pytest.approx(there, abs=0.1)


def test_it_says_so(to_swap, swapped):
    assert then(to_swap) == "after the swap" and not settled(to_swap)
    assert then(swapped) == "behind the gels"
