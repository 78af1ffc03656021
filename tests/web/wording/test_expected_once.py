"""What was expected behind a stack is told the same wherever it is told, to what is known of it."""

import pytest

from advisor.model import Kind, Predicted, Reading, Source, Stage, Work
from advisor.web.views.heads import light_behind
from advisor.web.wording.work import expected
from tests.advice.lamps import plan
from tests.web.page import plain

GELS = ["CTO 1/4", "Minus green 1/8"]


@pytest.mark.parametrize(("doubt", "cct"), [(4.0, 5250), (1.0, 5250), (0.5, 5270)])
def test_it_is_told_the_same_twice(doubt, cct):
    bare = Reading(cct=6800, duv=0.009)
    read = Reading(cct=4900, duv=0.001, gels=GELS)
    then = Predicted(cct=5272, duv=0.001, uncertainty_steps=doubt)
    work = Work(stage=Stage.HUNG, gels=GELS, predicted=then, read_bare=bare, read_behind=read)
    lamp = Source(name="Head", kind=Kind.DISCHARGE, reading=bare, readings=[read], work=work)
    head = plan(lamp).alone
    assert plain(expected(head.check)).startswith(f"about 5\N{NARROW NO-BREAK SPACE}{cct - 5000} K")
    assert round(light_behind(head.chosen).cct, -1) == cct
