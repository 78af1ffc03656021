"""Where the light changed between two readings behind one stack, what was read before counts no more.

The windows are invented: CIE daylight, and sheets that are as their labels say.
"""

import re

import pytest

from advisor.advice.answer.advise import advise, predict
from advisor.advice.learned.light_now import light_differs
from advisor.colour.observer.loci import daylight
from advisor.model import Accuracy, AdviceRequest, Predicted, PredictionRequest, Reading, Stage, Work
from tests.advice.lamps import LIMITS, SHIPPED, TARGET, looked, off_target, plan, read
from tests.advice.lamps import lamp as lamp_of

MORNING, AFTERNOON = 6200.0, 8200.0
HUNG = ["CTO 1/8"]


def window(now=AFTERNOON, *later, hung=HUNG, morning=MORNING, bare=None, **extra):
    """A window, read bare and behind a stack in the morning, and behind the same one now."""
    first, again = (read(daylight(cct), hung, lux=1000.0) for cct in (morning, now))
    source = lamp_of(daylight(morning), "daylight", **extra)
    readings = [first, looked(again), *later]
    if bare:
        readings, source = [source.reading, *readings], source.model_copy(update={"reading": bare})
    work = Work(stage=Stage.HUNG, gels=hung, read_bare=source.reading, read_behind=readings[-1])
    return source.model_copy(update={"readings": readings, "work": work})


def advised(source):
    head = plan(source).alone
    return (head.due.result.gels if head.due else head.best.gels), head


@pytest.mark.parametrize("hung", [["CTO 1/8"], ["CTO 1/4"]])
@pytest.mark.parametrize("now", [5000.0, 7200.0, 8200.0])
def test_what_is_advised_next_is_for_the_light_of_now(now, hung):
    gels, head = advised(window(now, hung=hung))
    assert off_target(daylight(now), gels) <= 3.0
    assert head.white.cct == pytest.approx(now, rel=0.01)
    assert head.check.lit_anew and head.changed.before.cct == read(daylight(MORNING), hung).cct


def test_a_cooler_window_is_not_taken_for_one_without_its_gel():
    """Behind ¼ CTO a sky of 8 600 K reads as one of 6 500 K does bare, but a third of a stop darker."""
    hung = ["CTO 1/4"]
    source = window(8600.0, hung=hung, morning=6800.0)
    later = read(daylight(8600.0), hung, lux=1000.0)  # nobody looked what hung
    work = source.work.model_copy(update={"read_behind": later})
    head = plan(source.model_copy(update={"readings": [source.readings[0], later], "work": work})).alone
    assert not head.left_out and head.check.slip is None
    assert head.changed is not None and head.due.result.gels != hung


def test_the_light_as_it_was_is_no_change():
    assert plan(window(6250.0)).alone.changed is None


def test_readings_behind_two_stacks_are_no_pair():
    source = window(MORNING, looked(read(daylight(MORNING), ["CTO full"], lux=1000.0)))
    assert plan(source).alone.changed is None


def test_all_readings_since_count_and_none_from_before():
    """Back behind ⅛ CTO, and then behind another stack of the same light."""
    source = window(AFTERNOON, looked(read(daylight(AFTERNOON), ["CTO 1/2"], lux=1000.0)))
    work = source.work.model_copy(update={"gels": ["CTO 1/2"], "read_behind": source.readings[-1]})
    source = source.model_copy(update={"work": work})
    gels, head = advised(source)
    assert len(head.source.readings) == 2 and not head.source.reading.gels
    assert off_target(daylight(AFTERNOON), gels) <= 3.0


def test_a_bare_reading_of_the_light_now_counts():
    bare = read(daylight(AFTERNOON), lux=1000.0)
    gels, head = advised(window(bare=bare))
    assert head.source.reading == bare and not head.worked_out
    assert off_target(daylight(AFTERNOON), gels) <= 3.0


@pytest.mark.parametrize("stage", [Stage.HUNG, Stage.CONFIRMED])
def test_what_hangs_is_metered_again_once_the_bare_light_changed(stage):
    """The reading behind ⅛ CTO was right in the morning: of the light now it says nothing."""
    was, now = (read(daylight(cct), lux=1000.0) for cct in (MORNING, AFTERNOON))
    behind = read(daylight(MORNING), HUNG, lux=1000.0)
    work = Work(stage=stage, gels=HUNG, read_bare=was, read_behind=behind, steps_off=0.8)
    source = window().model_copy(update={"reading": now, "readings": [was, behind], "work": work})
    gels, head = advised(source)
    assert head.check is None and head.stage is Stage.HUNG
    assert head.again == "The light changed since it was read: meter it again"
    assert off_target(daylight(AFTERNOON), gels) <= 3.0
    later = read(daylight(AFTERNOON), HUNG, lux=1000.0)
    work = work.model_copy(update={"stage": Stage.HUNG, "read_behind": later})
    since = source.model_copy(update={"readings": [was, behind, later], "work": work})
    assert plan(since).alone.check.reading == later


def test_a_pair_of_two_lights_teaches_no_gel():
    first, again = window().readings
    bare = window().reading
    assert light_differs(window(), first, bare, Accuracy())
    assert light_differs(window(), again, bare, Accuracy())
    assert not light_differs(window(6250.0), first, bare, Accuracy())


def test_the_next_day_does_not_go_by_a_pair_of_two_lights():
    bare = read(daylight(MORNING), lux=1000.0)

    def planned(cct):
        behind = read(daylight(cct), HUNG, lux=1000.0)
        work = Work(gels=HUNG, read_bare=bare, read_day_before=behind)
        return plan(window().model_copy(update={"reading": bare, "readings": [], "work": work})).alone

    assert planned(AFTERNOON).before is None
    assert planned(6300.0).before is not None


SAID = "The light changed. Earlier readings no longer count."
"""What pages and the API say."""


def asked_for(source, stack=None):
    """Ask the API's advice on a source, or its prediction of a stack, by its readings alone."""
    alone = source.model_copy(update={"work": None})
    about = {"target": TARGET, "accuracy": LIMITS.accuracy.model_dump()}
    if stack is not None:
        return predict(PredictionRequest(source=alone, stack=stack, **about), SHIPPED)
    [answer] = advise(AdviceRequest(sources=[alone], **about), SHIPPED).sources
    return answer


@pytest.mark.parametrize("now", [5000.0, 7200.0, 8200.0])
def test_the_api_advises_for_the_light_of_now_as_pages_do(now):
    source = window(now)
    answer = asked_for(source)
    assert answer.notes == [SAID]
    assert off_target(daylight(now), answer.stacks[0].gels) <= 3.0
    head = plan(source.model_copy(update={"work": None})).alone
    besides = {"notes", "allocated", "reached", "beyond", "held_back", "first"}
    assert answer.allocated is None
    assert answer.model_dump(exclude=besides) == head.advice.model_dump(exclude=besides)


def test_the_api_predicts_for_the_light_of_now():
    there = asked_for(window(AFTERNOON), ["CTO 1/2"])
    truly = read(daylight(AFTERNOON), ["CTO 1/2"])
    assert there.after.cct == pytest.approx(truly.cct, rel=0.01)
    assert there.notes == [SAID]


def test_the_api_says_that_the_lamp_changed_bare():
    """The reading behind gels is older than the bare one that shows the change."""
    was, now = (read(daylight(cct), lux=1000.0) for cct in (MORNING, AFTERNOON))
    behind = read(daylight(MORNING), HUNG, lux=1000.0)
    source = window().model_copy(update={"reading": now, "readings": [was, behind], "work": None})
    [note] = asked_for(source).notes
    assert re.match(r"The daylight changed: bare, it read 6.20\d K before\. Readings behind gels", note)
    assert asked_for(source, HUNG).notes == [note]


def test_without_readings_behind_gels_the_api_says_nothing_of_it():
    """Two bare readings of two lights: an answer is as long as the programs know it."""
    was, now = (read(daylight(cct), lux=1000.0) for cct in (MORNING, AFTERNOON))
    source = window().model_copy(update={"reading": now, "readings": [was], "work": None})
    assert "notes" not in asked_for(source).model_dump()
    assert "notes" not in asked_for(source, HUNG).model_dump()
    alone = asked_for(source.model_copy(update={"readings": []}))
    assert alone.model_dump_json() == asked_for(source).model_dump_json()


def test_a_light_that_no_lamp_of_the_kind_has_leaves_the_answer_as_it_was():
    """Behind ⅛ CTO somebody typed the white of a candle: no daylight looks so."""
    source = window()
    odd = looked(Reading(cct=1500.0, duv=0.03, gels=HUNG))
    source = source.model_copy(update={"readings": [source.readings[0], odd], "work": None})
    assert asked_for(source).stacks


def test_light_is_compared_with_what_was_promised_where_the_bare_light_is_worked_out():
    """What is worked out from a reading predicts just that reading: it says nothing of how bright it is."""
    source = window()
    work, later = source.work, source.readings[-1]
    promised = Predicted(cct=5600, duv=0.003, lux=2.5 * later.lux, uncertainty_steps=3)
    lit = source.model_copy(update={"work": work.model_copy(update={"predicted": promised})})
    # A light of 1 / 2.5 is log2 2.5 = 1.32 stops darker.
    assert plan(lit).alone.check.stops == pytest.approx(-1.32, abs=0.01)
    assert plan(source).alone.check.stops is None
