"""Tungsten dims warm: where its level was not read, no good chance is told (IESNA exponents, from memory).

The lamp is invented: a Planckian radiator that was read at full and is used at 60 %.
"""

import pytest

from advisor.advice.readings.dim_levels import in_use
from advisor.model import Target
from tests.advice.lamps import lamp, plan, planckian, read

WANTED = Target(cct=5600)


def dimmed(kind="tungsten", level=60.0, read_at=100.0):
    source = lamp(planckian(3210), kind)
    reading = source.reading.model_copy(update={"level": read_at})
    return source.model_copy(update={"reading": reading, "level": level})


def chance(source):
    return plan(source, target=WANTED).alone.first.within


def test_the_chance_holds_how_far_tungsten_drifts():
    assert chance(dimmed(level=100.0)) > 0.4
    assert chance(dimmed()) < 0.15


@pytest.mark.parametrize("level, least", [(90.0, 4.0), (60.0, 20.0), (30.0, 35.0)])
def test_the_doubt_reaches_as_far_as_a_dimmer_that_counts_in_volts_takes_it(level, least):
    steps = in_use(dimmed(level=level)).doubt / 0.0011
    assert steps >= least
    warm = read(planckian(3210 * (level / 100) ** 0.42))
    assert warm.cct < 3210


def test_a_brighter_level_is_as_unknown():
    assert in_use(dimmed(level=100.0, read_at=60.0)).doubt / 0.0011 > 10


def test_down_to_the_least_level_something_is_told():
    assert in_use(dimmed(level=1.0)).doubt / 0.0011 > 50


def test_another_kind_keeps_its_doubt():
    assert in_use(dimmed("led-white")).doubt / 0.0011 == pytest.approx(5.0)
