"""What the dials do carries over from one modifier to another; the heads are invented."""

import numpy as np
import pytest

from advisor.advice.answer.advise import advise_on
from advisor.advice.dials.calibration import fit_dial
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import Limits, Reach, Reading, Source
from tests.advice.heads import dial, white
from tests.advice.rows import nominal

PANEL = Reach(cct_from=2800, cct_to=6500, green_from=-100, green_to=100)
GREEN = 0.00014
"""The Duv of one on the panel's green dial: half of what nobody's reading would let one expect."""
CLOTH_MIRED, CLOTH_DUV = 6.0, 0.0016
"""How far its cloth moves the light: warmer, and greener."""


def light(cct, green=0.0, modifier="", turned=1.0, **more):
    """Read the panel: 40 K on the dial are missing, and it is 0.0037 too green with its green dial at 0."""
    mired, duv = 1e6 / (cct - 40) + 0.5, 0.0037 + turned * GREEN * green
    if modifier:
        mired, duv = mired + CLOTH_MIRED, duv + CLOTH_DUV
    return Reading(cct=1e6 / mired, duv=duv, level=100, modifier=modifier, dial=dial(cct, green), **more)


PLAIN = [light(cct, modifier=modifier) for modifier in ("", "softbox") for cct in (3200, 4300, 5600)]
TURNED = [light(cct, 50) for cct in (3200, 4300, 5600)]


def panel(readings, now, kind="led-white"):
    others = [one for one in readings if one is not now]
    return Source(name="Panel", kind=kind, reading=now, readings=others, reach=PANEL, modifier=now.modifier)


@pytest.mark.parametrize("green", [-75, -40, 25, 60])
def test_a_green_dial_read_bare_is_known_behind_cloth(green):
    fit = fit_dial(panel([*TURNED, *PLAIN], PLAIN[-1]))
    mapped = fit.of(dial(5600, green))
    really = light(5600, green, "softbox")
    assert float(mapped.duv) == pytest.approx(really.duv, abs=0.0008)
    assert float(mapped.mired) == pytest.approx(1e6 / really.cct, abs=1.0)
    assert abs(float(mapped.duv) - really.duv) < 2 * np.sqrt(float(mapped.duv_variance))


def test_behind_cloth_it_is_a_little_less_sure_than_bare():
    bare = fit_dial(panel([*PLAIN, *TURNED], PLAIN[2])).of(dial(5600, -40))
    soft = fit_dial(panel([*TURNED, *PLAIN], PLAIN[-1])).of(dial(5600, -40))
    unread = fit_dial(panel(PLAIN, PLAIN[-1])).of(dial(5600, -40))
    assert float(bare.duv_variance) < float(soft.duv_variance) < 0.1 * float(unread.duv_variance)


def test_where_the_light_lies_is_not_taken_from_another_modifier():
    """Ten readings bare move nothing: behind cloth the light goes by what was read behind it."""
    many = [light(cct, green) for cct in (3200, 3600, 4300, 5000, 5600) for green in (0, 50)]
    mapped = fit_dial(panel([*many, *PLAIN], PLAIN[-1])).of(dial(5600))
    assert float(mapped.duv) == pytest.approx(PLAIN[-1].duv, abs=0.0001)
    assert float(mapped.mired) == pytest.approx(1e6 / PLAIN[-1].cct, abs=0.2)


def test_its_own_turns_behind_cloth_count_more_than_those_bare():
    """Bare, its dial moves the light by half as much again as behind this cloth, which was read turned."""
    bare = [light(5600, 50, turned=1.5), *PLAIN[:3]]
    soft = [light(5600, 50, "softbox"), *PLAIN[3:]]
    mapped = fit_dial(panel([*bare, *soft], PLAIN[-1])).of(dial(5600, 50))
    assert float(mapped.duv) == pytest.approx(soft[0].duv, abs=0.0005)


def test_one_setting_of_another_modifier_says_nothing_of_the_dials():
    fit = fit_dial(panel([light(3200, 20, "dish"), PLAIN[2]], PLAIN[2]))
    assert [pair.setting for pair in fit.pairs] == [dial(5600)]


def test_a_panel_behind_its_cloth_is_dialled_down_rather_than_gelled():
    """It is 0.0053 too green there: 38 of its green dial, of 100. Nobody hangs gel for that."""
    source = panel([*TURNED, *PLAIN], PLAIN[-1])
    gels = gel_arrays_of(tuple(nominal()))
    [answer] = advise_on([prepare(source, gels, white(5600))], Limits(), gels).answers
    best = answer.stacks[0]
    assert best.gels == [] and -44 <= best.dial.green <= -32
    truly = light(best.dial.cct, best.dial.green, "softbox")
    assert abs(1e6 / truly.cct - 1e6 / 5600) < 4 and abs(truly.duv) < 0.0010


def test_light_at_other_settings_goes_by_another_modifier_where_its_own_says_nothing():
    """Bare it is a stop brighter at 4 300 K than at 5 600 K; behind cloth one setting was read with lux."""
    bare = [light(4300, lux=400), light(5600, lux=200)]
    soft = light(5600, modifier="softbox", lux=90)
    fit = fit_dial(panel([*bare, soft], soft))
    assert fit.gain(np.array([1e6 / 4300, 1e6 / 5600])) == pytest.approx([1, 0])
