"""A tested head that is read behind gels before anybody reads it bare: its test follows all the same."""

import pytest

from advisor.advice.answer.advise import predict
from advisor.advice.plan.make import make_plan
from advisor.model import AsTested, Kind, Limits, PredictionRequest, Reading, Source, Target
from tests.advice.rows import nominal

GELS = nominal()
TARGET = Target(cct=4300)
MAY = "2026-05-12T09:00:00.000000Z"
HANGS, OTHER = ["CTO 1/4"], ["CTO 1/2"]


def head(*behind, level=None):
    def tested(at, cct):
        return Reading(cct=cct, duv=0.001, lux=20.0 * at, level=at, tested_at=MAY)

    return Source(
        name="Panel 3", kind=Kind.LED_WHITE, reading=tested(100, 5600),
        readings=[tested(10, 5300), tested(50, 5500), *behind], level=level,
        test=AsTested(head="Panel 3", doubt_steps=3.0),
    )  # fmt: skip


def after(source, gels):
    return predict(PredictionRequest(source=source, target=TARGET, stack=gels), GELS).after


def mired(white):
    return 1e6 / white.cct


@pytest.mark.parametrize("level", [100, 50, 10])
def test_a_reading_behind_gel_moves_every_stack_and_the_levels_not_read(level):
    plain = after(head(level=100), HANGS)
    found = Reading(cct=1e6 / (mired(plain) + 4.0), duv=plain.duv, level=100, gels=HANGS)
    for gels in ([], OTHER):
        before, since = after(head(level=level), gels), after(head(found, level=level), gels)
        # Some of the 4 mired are the gel’s, and at another level some are that level’s own.
        assert 0.5 < mired(since) - mired(before) < 5.0


def test_it_narrows_what_is_not_known_of_other_stacks():
    plain = after(head(level=100), HANGS)
    found = Reading(cct=plain.cct, duv=plain.duv, level=100, gels=HANGS)

    def doubt(source):
        request = PredictionRequest(source=source, target=TARGET, stack=OTHER)
        return predict(request, GELS).uncertainty_steps

    assert doubt(head(found, level=100)) < doubt(head(level=100))


def test_its_plan_is_less_sure_than_that_of_a_head_that_was_metered_here():
    today = Reading(cct=5600, duv=0.001, lux=2000, level=100)
    sure, unsure = (
        make_plan([source], TARGET, Limits(), GELS).heads[0].advice.stacks[0]
        for source in (head().model_copy(update={"reading": today}), head())
    )
    assert sure.within > unsure.within
    assert sure.uncertainty_steps < unsure.uncertainty_steps


def test_todays_reading_beside_the_test_is_no_light_that_changed():
    found = Reading(cct=4700, duv=0.001, level=100, gels=HANGS)
    today = Reading(cct=5200, duv=0.002, level=100)
    source = head(found)
    source = source.model_copy(update={"readings": [*source.readings, source.reading], "reading": today})
    [planned] = make_plan([source], TARGET, Limits(), GELS).heads
    assert planned.changed is None
    assert not any("changed" in note for note in planned.notes)


def test_the_light_of_a_test_says_nothing_of_what_gels_lose():
    def passed(*more):
        source = head(*more)
        return predict(PredictionRequest(source=source, target=TARGET, stack=HANGS), GELS).stops

    found = Reading(cct=4700, duv=0.001, lux=1100, level=100, gels=HANGS)  # a sheet would lose 0.86 stop
    assert passed(found) == pytest.approx(passed(found.model_copy(update={"lux": None})))
