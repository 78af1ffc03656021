"""A bare reading that was typed wrong shows once the head is read behind gels: it is asked about first."""

import numpy as np
import pytest

from advisor.advice.after_hanging.slip import Slips
from advisor.advice.plan.needs import needs_of
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.model import Reading
from advisor.web.wording.board import brief
from advisor.web.wording.work import check_first
from tests.advice.lamps import hung, lamp, plan, planckian, read
from tests.web.page import plain as spaced


def plain(text):
    """Return a text with plain spaces between its thousands too."""
    return spaced(text).replace("\u202f", " ")


LAMP = planckian(2946.0)
GELS = ["CTB full", "CTB 1/4"]
"""Ordered of a lamp that was typed as 2 496 K, and hung on one of 2 946 K."""


def head(bare, kind="tungsten", gels=GELS, readings=(), **behind):
    """Plan a head that was typed as `bare` and hung with gels, and then read as the lamp is."""
    source = lamp(LAMP, kind).model_copy(update={"reading": bare, "readings": list(readings)})
    found = read(LAMP, gels).model_copy(update={"gels": list(gels), **behind})
    return plan(hung(source, gels, found)).alone


def test_two_digits_of_the_bare_reading_are_asked_about_before_gel_moves():
    found = head(Reading(cct=2496, duv=0.0))
    assert found.check.slip.what is Slips.SWAPPED
    assert found.check.slip.cct == 2946
    assert found.check.slip.of_bare == Reading(cct=2496, duv=0.0)
    assert found.check.mistake is None
    assert plain(check_first(found.check)) == "Bare, 2 496 K for 2 946 K? Two digits swapped."
    assert plain(brief(found, needs_of(found))).startswith("bare, 2 496 K for 2 946 K?")


def test_a_leading_digit_is_found_too():
    meant = head(Reading(cct=1946, duv=0.0)).check.slip
    assert (meant.what, meant.cct) == (Slips.DIGIT, 2946)


def test_so_is_a_sign():
    green = planckian(4000.0) * (1.0 + 0.6 * np.exp(-(((WAVELENGTHS - 545.0) / 30.0) ** 2)))
    right, gels = read(green), ["CTB 1/2"]
    source = lamp(green, "unknown").model_copy(
        update={"reading": right.model_copy(update={"duv": -right.duv})}
    )
    found = read(green, gels).model_copy(update={"gels": gels})
    meant = plan(hung(source, gels, found)).alone.check.slip
    assert right.duv > 0.005
    assert (meant.what, meant.of_bare.duv) == (Slips.SIGN, -right.duv)


@pytest.mark.parametrize("cct", [2946, 2930, 2960])
def test_a_bare_reading_that_is_right_is_not_asked_about(cct):
    check = head(Reading(cct=cct, duv=0.0)).check
    assert check.slip is None


def test_bare_readings_that_agree_are_believed():
    wrong = Reading(cct=2496, duv=0.0)
    check = head(wrong, readings=[Reading(cct=2500, duv=0.0)]).check
    assert check.slip is None or check.slip.of_bare is None


def test_daylight_moves_as_far_as_a_digit():
    check = head(Reading(cct=2496, duv=0.0), kind="daylight").check
    assert check.slip is None or check.slip.of_bare is None


def test_what_is_on_the_truck_and_explains_it_comes_first():
    source = lamp(LAMP).model_copy(update={"reading": Reading(cct=2946, duv=0.0)})
    found = read(LAMP, ["CTB full"]).model_copy(update={"gels": ["CTB 1/2"]})
    check = plan(hung(source, ["CTB 1/2"], found)).alone.check
    assert check.mistake is not None
    assert check.slip is None
