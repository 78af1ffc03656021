"""A newer reading without its lux loses no light: what was read alike before still stands.

The lamps are invented. That log lux goes linear over a dial's mired is what the calibration of dials says.
"""

import pytest

from advisor.advice.overview.ratios import lux_of
from advisor.model import Reach, Reading, Setting, Source, Stage, Target, Work
from tests.advice.lamps import hung, lamp, looked, plan, planckian, read

PANEL = Reach(cct_from=2700, cct_to=6500, cct_step=50)


def again(source, **tags):
    """Return a source that was read once more, without its lux."""
    newest = source.reading.model_copy(update={"lux": None, **tags})
    return source.model_copy(update={"reading": newest, "readings": [*source.readings, source.reading]})


def panel(*read, **extra):
    """Return a panel that was read at some settings of its dial, each with or without lux, at 80 %."""
    readings = [Reading(cct=cct, duv=0.001, lux=lux, level=80, dial=Setting(cct=cct)) for cct, lux in read]
    return Source(name="Panel", kind="led-mix", reach=PANEL, reading=readings[-1], readings=readings[:-1])


def bare_light(source):
    return lux_of(plan(source), 0, gelled=False)


def test_the_light_of_an_earlier_reading_stands_where_the_newest_has_none():
    assert bare_light(again(lamp(planckian(3200), lux=640.0))) == 640.0


@pytest.mark.parametrize("tags", [{"level": 40}, {"modifier": "softbox"}])
def test_light_at_another_level_or_with_another_modifier_is_not_its_light(tags):
    assert bare_light(again(lamp(planckian(3200)), **tags)) is None


def test_the_light_of_a_lamp_that_changed_does_not_stand():
    cooler = read(planckian(4300))
    assert bare_light(again(lamp(planckian(3200)), cct=cooler.cct, duv=cooler.duv)) is None


def test_the_light_of_a_sky_does_not_stand():
    assert bare_light(again(lamp(planckian(6500), kind="daylight"))) is None


def test_a_head_at_other_dials_gives_what_its_other_settings_say():
    assert bare_light(panel((5600, 800.0), (4300, None))) == pytest.approx(800.0)
    # Halfway in mired between 5 000 and 4 000 K, 200 and 250 MK⁻¹, the logarithm is halfway too.
    assert bare_light(panel((5000, 400.0), (4000, 900.0), (1e6 / 225, None))) == pytest.approx(
        600.0, rel=1e-3
    )


def test_the_newest_light_of_the_same_dials_goes_before_that_of_others():
    assert bare_light(panel((4300, 500.0), (5600, 800.0), (4300, None))) == pytest.approx(500.0)


def test_what_was_predicted_from_that_reading_stays_what_was_predicted():
    """A head that was hung after a reading without lux, by a plan that knew none, is checked against that."""
    source = again(lamp(planckian(3200)))
    behind = looked(read(planckian(3200), ["CTB 1/2"], lux=1000.0))
    old = hung(source, ["CTB 1/2"], behind)
    work = old.work.model_copy(update={"read_bare": source.reading})
    head = plan(old.model_copy(update={"work": work})).alone
    assert head.known and head.check.as_predicted


def test_behind_its_gels_the_light_read_there_before_still_stands():
    first, second = (read(planckian(3200), ["CTB 1/2"], lux=lux) for lux in (700.0, None))
    source = lamp(planckian(3200), lux=1000.0)
    work = Work(stage=Stage.HUNG, gels=["CTB 1/2"], read_bare=source.reading, read_behind=looked(second))
    read_twice = source.model_copy(update={"readings": [looked(first), looked(second)], "work": work})
    wanted = Target(cct=first.cct, locus="planckian")  # it is right, so that no swap is due
    assert lux_of(plan(read_twice, target=wanted), 0, gelled=True) == first.lux
