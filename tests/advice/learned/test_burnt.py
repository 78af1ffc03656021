"""A gel that burnt or faded while it hung: the lamp is not blamed before somebody read it bare.

The lamps are invented: straight slopes on Planckian radiators. A faded sheet lost half its dye.
"""

import numpy as np
import pytest

from advisor.advice.plan.needs import Needs, needs_of
from advisor.advice.readings.target import white_of
from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.grid import weights
from advisor.model import Reading, Stage, Target, Work
from tests.advice.lamps import RACK, hung, lamp, looked, plan, planckian, read, uv_of

HOT, WANTED = planckian(7600, slope=-0.1), Target(cct=5300)
STACK = ["CTO 1/4", "CTO 1/8"]
LAMPS = [
    (HOT, "discharge", STACK, WANTED),
    (planckian(3200), "tungsten", ["CTB full"], Target(cct=5600)),
    (planckian(6900, slope=0.15), "led-white", ["CTO 1/4"], Target(cct=5600)),
]


def faded(spectrum, gels, share=0.5, lux=1000.0):
    """Return what a meter reads of a lamp behind gels that lost a `share` of their dye (Beer)."""
    sheets = RACK.product(RACK.find(gels)) ** (1.0 - share)
    x, y, z = (spectrum * sheets) @ weights()
    cct, duv = (float(v) for v in cct_duv_of_uv(np.array([4 * x, 6 * y]) / (x + 15 * y + 3 * z)))
    return Reading(cct=cct, duv=duv, lux=lux, gels=gels)


def burnt(spectrum, kind, stack, wanted, *later, bare=None, seen=False):
    """A head that was read right behind a stack, and otherwise two minutes after."""
    source = hung(lamp(spectrum, kind), stack, target=wanted)
    first, then = read(spectrum, stack, lux=1000.0), faded(spectrum, stack)
    then = looked(then) if seen else then
    work = source.work.model_copy(update={"read_bare": source.reading, "read_behind": then})
    readings = [first, then, *later]
    if bare:
        readings, source = [source.reading, *readings], source.model_copy(update={"reading": bare})
    return source.model_copy(update={"readings": readings, "work": work})


def planned(*args, **extra):
    return plan(burnt(*args, **extra), target=args[3]).alone


@pytest.mark.parametrize("about", LAMPS)
def test_a_reading_behind_a_faded_gel_changes_no_lamp(about):
    head = planned(*about)
    bare = read(about[0])
    assert head.check.burnt and head.check.odd and head.check.waits
    assert head.changed is None and not head.worked_out
    assert head.white.cct == pytest.approx(bare.cct, rel=0.001), "as it was read bare the same day"
    assert head.due is None, "nothing is swapped for it"
    assert needs_of(head) is Needs.METER


@pytest.mark.parametrize("about", LAMPS)
def test_nor_is_it_taken_for_the_lamp_once_all_is_taken_off(about):
    source = burnt(*about).model_copy(update={"work": None})
    head = plan(source, target=about[3]).alone
    bare = plan(source.model_copy(update={"readings": []}), target=about[3]).alone
    assert head.white.cct == pytest.approx(bare.white.cct)
    assert off(about, head.best.gels) <= off(about, bare.best.gels) + 0.5


def off(about, gels):
    """How far a lamp behind gels misses what is wanted, in steps (CIE TN 001:2014, from memory)."""
    apart = uv_of(about[0], gels) - white_of(about[3], []).uv
    return float(np.hypot(apart[0], 1.5 * apart[1])) / 0.0011


def test_a_bare_reading_as_before_leaves_the_gel_alone_to_blame():
    head = planned(*LAMPS[0], bare=read(HOT, lux=1004.0))
    assert head.check.burnt and head.changed is None and head.due is None


def test_a_bare_reading_that_differs_tells_that_the_lamp_changed():
    """What was read behind the sheets is then of the lamp as it is now."""
    now = planckian(11000, slope=-0.1)
    source = burnt(*LAMPS[0])
    again = read(now, STACK, lux=1000.0)
    work = source.work.model_copy(update={"read_behind": again})
    readings = [source.reading, source.readings[0], again]
    there = source.model_copy(update={"reading": read(now, lux=1000.0), "readings": readings, "work": work})
    head = plan(there, target=WANTED).alone
    assert not head.check.burnt and head.changed is not None
    assert head.white.cct == pytest.approx(read(now).cct, rel=0.001)


def test_who_looked_at_the_gel_says_that_it_is_the_lamp():
    head = planned(*LAMPS[0], seen=True)
    assert not head.check.burnt and head.changed is not None


def test_within_what_a_meter_differs_nothing_is_asked():
    source = burnt(*LAMPS[0])
    first = source.readings[0]
    near = first.model_copy(update={"cct": first.cct + 10})
    work = source.work.model_copy(update={"read_behind": near, "stage": Stage.HUNG})
    head = plan(source.model_copy(update={"readings": [first, near], "work": work}), target=WANTED).alone
    assert not head.check.burnt and not head.left_out


def test_of_daylight_the_sky_is_doubted_and_not_the_gel():
    head = planned(HOT, "daylight", STACK, WANTED)
    assert not head.check.burnt
    assert isinstance(head.source.work, Work)
