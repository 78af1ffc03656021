"""A stack of the day before: with the lamp of then it does what was read then; a drift goes on top."""

import math

import pytest

from advisor.advice.answer.one_stack import predict_stack
from advisor.advice.plan.day_before import as_before
from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.prediction import prepare
from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.model import Accuracy, Limits, Reading, Source, Target, WantedOffset, Work
from tests.advice.lamps import RACK, TARGET, lamp, plan, planckian, read

GELS = ["CTB full"]
PLAIN = Limits(accuracy=Accuracy(meter_cct_percent=0.0, meter_duv=0.0, gel_percent=0.0))


def asked(then, behind, now=None, limits=PLAIN, **extra):
    """Plan a stack again that was read so `behind` on a lamp that read as `then`, and reads as `now`."""
    source = lamp(planckian(3200)).model_copy(update={"reading": now or then, **extra})
    work = Work(gels=GELS, read_bare=then, read_day_before=behind)
    bare = prepare(source.model_copy(update={"work": work}), RACK, white_of(TARGET, []))
    entry = predict_stack(bare, limits, RACK, GELS)
    return as_before(bare, work, entry, limits, RACK), entry


THEN = read(planckian(3200), lux=1000.0)
BEHIND = Reading(cct=5400, duv=0.0031, lux=200.0)


def test_the_same_lamp_does_what_was_read_then():
    found, entry = asked(THEN, BEHIND)
    assert found.cct == pytest.approx(5400, abs=0.5) and found.duv == pytest.approx(0.0031, abs=5e-6)
    assert found.lux == pytest.approx(200.0, rel=1e-6)
    assert entry.after.lux > 250, "as predicted from the label it would be brighter"


def test_a_lamp_of_twice_the_light_does_twice_what_was_read():
    found, _ = asked(THEN, BEHIND, THEN.model_copy(update={"lux": 2000.0}))
    assert found.lux == pytest.approx(400.0, rel=1e-4)
    assert found.cct == pytest.approx(5400, abs=0.5)


def test_a_drift_goes_along():
    """In (u, v) the prediction for today is moved by as much as that for then was off."""
    now = read(planckian(3000), lux=1000.0)
    found, entry = asked(THEN, BEHIND, now)
    _, then = asked(THEN, BEHIND)
    predicted = [measure(Reading(cct=e.after.cct, duv=e.after.duv)).uv for e in (entry, then)]
    cct, duv = (float(v) for v in cct_duv_of_uv(measure(BEHIND).uv + predicted[0] - predicted[1]))
    assert (found.cct, found.duv) == (pytest.approx(cct, abs=0.5), pytest.approx(duv, abs=5e-6))
    assert found.cct < 5000


def test_where_the_drift_leads_beyond_any_white_nothing_is_known():
    blue = Reading(cct=24000, duv=0.0, lux=200.0)
    assert asked(THEN, blue)[0].cct == pytest.approx(24000, abs=30)
    assert asked(THEN, blue, read(planckian(4000), lux=1000.0))[0] is None


@pytest.mark.parametrize("nobody", ["then", "behind", "now"])
def test_light_that_nobody_read_is_not_moved(nobody):
    blind = {"lux": None}
    found, entry = asked(
        THEN.model_copy(update=blind) if nobody == "then" else THEN,
        BEHIND.model_copy(update=blind) if nobody == "behind" else BEHIND,
        THEN.model_copy(update=blind) if nobody == "now" else THEN,
    )
    assert found.cct == pytest.approx(5400, abs=0.5)
    assert found.lux == (None if nobody == "now" else pytest.approx(entry.after.lux))


def test_more_light_than_any_reading_can_have_is_held():
    found, _ = asked(
        THEN, BEHIND.model_copy(update={"lux": 900_000.0}), THEN.model_copy(update={"lux": 5000})
    )
    assert found.lux == 1_000_000


def test_it_may_be_off_by_what_two_readings_of_the_meter_may():
    """±2 % and ±0.0010 at 5 400 K: 3.7 mired and 1 CC, twice as squares."""
    limits = Limits(accuracy=Accuracy(meter_cct_percent=2.0, meter_duv=0.001, gel_percent=5.0))
    found, _ = asked(THEN, BEHIND, limits=limits)
    middle = measure(BEHIND).uv

    def steps(cct, duv):
        u, v = measure(Reading(cct=cct, duv=duv)).uv - middle
        return math.hypot(u, 1.5 * v) / 0.0011

    once = math.hypot(steps(5400 * 1.02, 0.0031), steps(5400, 0.0041))
    assert found.uncertainty_steps == pytest.approx(math.sqrt(2) * once, rel=0.03)
    assert asked(THEN, BEHIND)[0].uncertainty_steps == 0


def test_the_level_modifier_and_aim_of_today_say_nothing_of_then():
    plain, _ = asked(THEN, BEHIND)
    now = THEN.model_copy(update={"level": 40, "modifier": "softbox"})
    other, _ = asked(THEN, BEHIND, now, aim=WantedOffset(mired=40), modifier="softbox", level=40)
    assert (other.cct, other.duv, other.lux) == (plain.cct, plain.duv, plain.lux)


def test_without_both_readings_nothing_is_known():
    bare = prepare(lamp(planckian(3200)), RACK, white_of(TARGET, []))
    entry = predict_stack(bare, PLAIN, RACK, GELS)
    for work in (Work(gels=GELS), Work(gels=GELS, read_bare=THEN), Work(gels=GELS, read_day_before=BEHIND)):
        assert as_before(bare, work, entry, PLAIN, RACK) is None
    lost = Work(gels=["No such gel"], read_bare=THEN, read_day_before=BEHIND)
    assert as_before(bare, lost, entry, PLAIN, RACK) is None


@pytest.mark.parametrize("drifted", [1.0, 2.0])
def test_the_light_lost_is_that_of_the_same_readings(drifted):
    """Behind 1 000 lx it read 200 lx: 2.3 stops, whatever the label says, however bright it is now."""
    now = THEN.model_copy(update={"lux": 1000.0 * drifted})
    work = Work(gels=GELS, read_bare=THEN, read_day_before=BEHIND)
    source = lamp(planckian(3200)).model_copy(update={"reading": now, "work": work})
    head = plan(source, limits=PLAIN).alone
    assert head.lost == pytest.approx(math.log2(1000 / 200), abs=0.01)
    assert head.best.after.lux == pytest.approx(200 * drifted, rel=1e-3)
    assert head.as_before is (drifted == 1.0)


def test_a_window_that_reads_otherwise_bare_today_goes_by_today():
    """What was read behind the gels the day before was read of another sky."""
    source = Source(name="Window", kind="daylight", reading=Reading(cct=6280, duv=0.0029, lux=1700))
    then, behind = Reading(cct=5950, duv=0.0021, lux=2100), Reading(cct=4250, duv=0.0012, lux=1050)
    work = Work(gels=["CTO 1/4", "CTO 1/4", "CTO 1/8"], read_bare=then, read_day_before=behind)
    made = plan(source.model_copy(update={"work": work}), target=Target(cct=4300)).alone
    assert made.before is None and made.outdated and made.as_told.best.gels == made.first.gels
    same = source.model_copy(update={"reading": then, "work": work})
    assert plan(same, target=Target(cct=4300)).alone.before == behind
