"""A lamp that was read at its level behind gels alone: what it reads bare there is worked out from those.

The lamp is invented: a Planckian radiator of 3 210 K at full, and of 2 890 K at 60 %.
"""

import pytest

from advisor.advice.answer.advise import advise, predict
from advisor.model import AdviceRequest, PredictionRequest, Stage, Target, Work
from tests.advice.lamps import LIMITS, SHIPPED, lamp, plan, planckian, read

WANTED = Target(cct=5600)
STACK = ["CTB full"]
FULL, LOW = planckian(3210), planckian(2890)


def dimmed(*behind):
    """A 2k that was read bare at full, and at 60 % behind its stack so often."""
    source = lamp(FULL)
    bare = source.reading.model_copy(update={"level": 100.0})
    work = Work(stage=Stage.HUNG, gels=STACK, read_bare=bare, read_behind=behind[-1] if behind else None)
    told = {"reading": bare, "readings": list(behind), "level": 60.0, "work": work}
    return plan(source.model_copy(update=told), target=WANTED).alone


def at_60(gels=STACK):
    return read(LOW, gels, lux=300.0).model_copy(update={"level": 60.0})


def test_what_was_read_behind_the_gel_there_tells_what_it_is_bare():
    head = dimmed(at_60(), at_60())
    assert head.white.cct == pytest.approx(2890, rel=0.02)
    assert head.worked_out
    assert not any("Read at 100 % only" in note for note in head.notes)


def test_what_is_advised_then_is_for_the_lamp_as_it_is_dimmed():
    head = dimmed(at_60())
    assert head.due is not None and "CTB full" in head.due.result.gels and len(head.due.result.gels) > 1


def test_without_a_reading_there_it_says_so():
    head = dimmed()
    assert head.white.cct == pytest.approx(3210, rel=0.01)
    assert any("Read at 100 % only" in note for note in head.notes)


@pytest.mark.parametrize("hung", [True, False])
def test_programs_hear_the_same_light_as_the_page(hung):
    """A 2k that nobody read bare at 60 % needs what it needs there, not what it needs at full."""
    bare = read(FULL, lux=1000.0).model_copy(update={"level": 100.0})
    work = Work(stage=Stage.HUNG, gels=STACK, read_bare=bare, read_behind=at_60()) if hung else None
    told = {"reading": bare, "readings": [at_60()], "level": 60.0, "work": work}
    source = lamp(FULL).model_copy(update=told)
    page = plan(source, target=WANTED).alone
    limits = {"accuracy": LIMITS.accuracy.model_dump(), "max_layers": LIMITS.max_layers}
    asked = AdviceRequest.model_validate({"target": WANTED, "sources": [source], **limits})
    [answer] = advise(asked, SHIPPED).sources
    assert answer.needed == page.advice.needed
    assert answer.needed.mired == pytest.approx(1e6 / 5600 - 1e6 / 2890, abs=3)
    assert answer.stacks[0].gels == page.advice.stacks[0].gels
    alone = PredictionRequest(source=source, target=WANTED, accuracy=asked.accuracy, stack=[])
    assert predict(alone, SHIPPED).after.cct == pytest.approx(2890, rel=0.01)
