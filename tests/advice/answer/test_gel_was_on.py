"""A bare reading that reads like the lamp behind its gel: whether the gel was on is asked before the lamp.

The lamps are invented: straight slopes on Planckian radiators.
"""

import pytest

from advisor.advice.plan.needs import Needs, needs_of
from advisor.model import Reading, Target
from tests.advice.lamps import LIMITS, hung, lamp, looked, plan, planckian, read

PANEL, WANTED = planckian(5140, slope=0.05), Target(cct=5600)
STACK = ["CTB 1/8"]


def bare_again(reading, stack=None, kind="led-white", **extra):
    """A panel that was read bare, had gel hung on it, and was read again, it is said bare."""
    first = lamp(PANEL, kind, lux=800.0, **extra)
    source = hung(first, stack, target=WANTED) if stack else first
    return source.model_copy(update={"reading": reading, "readings": [first.reading]})


def typed_bare(spectrum, gels=(), lux=None):
    return read(spectrum, gels, lux=lux).model_copy(update={"gels": []})


def asked(source):
    return plan(source, target=WANTED, limits=LIMITS).alone


@pytest.mark.parametrize("lux", [None, 800.0])
def test_what_reads_like_behind_the_gel_that_hangs_is_asked_about(lux):
    head = asked(bare_again(typed_bare(PANEL, STACK, lux), STACK))
    assert head.gel_on.gels == STACK
    assert head.bare_changed == "", "the lamp is not blamed before that"
    assert needs_of(head) is Needs.HANDS


def test_so_is_what_reads_like_behind_the_gel_that_was_advised_where_nobody_said_that_it_hangs():
    first = plan(lamp(PANEL, "led-white", lux=800.0), target=WANTED).alone.first
    assert first.gels
    assert asked(bare_again(typed_bare(PANEL, first.gels))).gel_on.gels == first.gels


def test_a_lamp_that_changed_otherwise_is_not():
    assert asked(bare_again(typed_bare(planckian(6400, slope=0.05)), STACK)).gel_on is None
    assert asked(bare_again(typed_bare(planckian(4700, slope=0.05)), STACK)).gel_on is None


def test_nor_is_one_as_it_was():
    assert asked(bare_again(typed_bare(planckian(5150, slope=0.05)), STACK)).gel_on is None


def test_nor_one_that_is_too_bright_for_the_gel():
    reading = typed_bare(PANEL, STACK, lux=800.0).model_copy(update={"lux": 805.0})
    assert asked(bare_again(reading, STACK)).gel_on is None


def test_who_looked_is_asked_no_more():
    assert asked(bare_again(looked(typed_bare(PANEL, STACK)), STACK)).gel_on is None


def test_nor_is_who_read_it_twice():
    reading = typed_bare(PANEL, STACK)
    source = bare_again(reading, STACK)
    twice = source.model_copy(update={"readings": [*source.readings, reading]})
    assert asked(twice).gel_on is None


def test_daylight_moves_by_itself():
    assert asked(bare_again(typed_bare(PANEL, STACK), STACK, kind="daylight")).gel_on is None


def test_a_first_reading_is_bare():
    source = lamp(PANEL, "led-white")
    assert asked(source).gel_on is None
    assert isinstance(source.reading, Reading)
