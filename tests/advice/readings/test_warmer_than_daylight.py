"""What is wanted warmer than a daylight white: the green of daylight goes with the daylight locus."""

from math import acos

import pytest

from advisor.advice.readings.target import aimed, white_of
from advisor.model import Locus, Target, WantedOffset
from tests.advice.lamps import lamp, plan, planckian

DAYLIGHT, BULB = Target(cct=5600), 3200.0


def daylight_duv(cct):
    """Duv of CIE daylight, by the formula of CIE 15 and that of Ohno (2014) for Duv; both from memory."""
    x = -4.6070e9 / cct**3 + 2.9678e6 / cct**2 + 0.09911e3 / cct + 0.244063
    y = -3.0 * x**2 + 2.870 * x - 0.275
    u, v = 4 * x / (-2 * x + 12 * y + 3), 6 * y / (-2 * x + 12 * y + 3)
    length = ((u - 0.292) ** 2 + (v - 0.24) ** 2) ** 0.5
    a = acos((u - 0.292) / length)
    k = (-0.471106, 1.925865, -2.4243787, 1.5317403, -0.5179722, 0.0893944, -0.00616793)
    return length - sum(c * a**n for n, c in enumerate(k))


def wanted(cct, target=DAYLIGHT, **aim):
    white = white_of(target, [])
    return aimed(white, WantedOffset(mired=1e6 / cct - white.mired, **aim))


@pytest.mark.parametrize("cct", [5000, 4500, 4100])
def test_down_to_4_000_k_it_lies_on_the_daylight_locus(cct):
    assert wanted(cct).duv == pytest.approx(daylight_duv(cct), abs=0.0003)


def test_at_3_200_k_it_is_planckian():
    assert wanted(3200).duv == pytest.approx(0.0, abs=0.0001)
    assert wanted(2800).duv == pytest.approx(0.0, abs=0.0001)
    assert 0.0008 < wanted(3600).duv < 0.0019


def test_the_green_that_is_wanted_comes_on_top():
    assert wanted(3200, duv=0.0035).duv == pytest.approx(0.0035, abs=0.0001)


@pytest.mark.parametrize(
    ("target", "cct"),
    [
        (DAYLIGHT, 6500),
        (Target(cct=5600, locus=Locus.PLANCKIAN), 3200),
        (Target(cct=4300, locus=Locus.PLANCKIAN, duv_offset=0.012), 3200),
        (Target(cct=5600, locus=Locus.PLANCKIAN, duv_offset=-0.004), 3200),
    ],
    ids=["cooler", "planckian", "green tubes", "magenta"],
)
def test_what_is_cooler_or_no_daylight_keeps_its_duv(target, cct):
    assert wanted(cct, target).duv == pytest.approx(white_of(target, []).duv, abs=1e-6)


def test_a_target_that_was_frozen_at_daylight_is_daylight_too():
    there = white_of(DAYLIGHT, [])
    frozen = Target(cct=there.cct, locus=Locus.PLANCKIAN, duv_offset=there.duv)
    assert wanted(3200, frozen).duv == pytest.approx(0.0, abs=0.0001)


def test_a_clean_bulb_that_is_wanted_as_it_is_needs_no_green():
    aim = WantedOffset(mired=1e6 / BULB - white_of(DAYLIGHT, []).mired)
    head = plan(lamp(planckian(BULB), aim=aim), target=DAYLIGHT).alone
    assert head.best.gels == [] and head.best.miss.steps < 0.5
