"""One stack predicted: the entry that a ranking would have, or why there is none."""

import pytest
from rows import asking, source

from advisor.advice.advise import predict
from advisor.model import Kind, PredictionRequest, Reading, Target
from tests.advice.answers import TABLE, refused, stacks

# Predictions -----------------------------------------------------------------------------------------


def predicted(of, stack, target=None, gels=None):
    request = PredictionRequest(source=of, target=target or Target(cct=5600), stack=stack, gels=gels)
    return predict(request, TABLE)


@pytest.mark.parametrize("kind", Kind)
def test_a_prediction_is_the_entry_of_that_stack(kind):
    of = source(kind=kind, cct=4600.0, duv=0.009, lux=450)
    found = stacks(asking(of))
    assert len(found) > 2
    for entry in found:
        assert predicted(of, entry.gels) == entry


def test_a_stack_that_would_never_be_ranked_is_predicted_all_the_same():
    entry = predicted(source(), ["CTB full", "CTO full", "ND 0.3"])
    assert entry.gels == ["CTB full", "CTO full", "ND 0.3"] and entry.layers == 3
    assert entry.stops > 3 and entry.nominal.cct == pytest.approx(6800, abs=0.01)


def test_a_prediction_for_no_longer_a_white():
    entry = predicted(source(cct=20000.0, duv=0.02), ["CTB full"] * 2 + ["Plus green full"] * 2)
    assert entry.after.cct is None and entry.after.duv is None and entry.after.lux is None
    assert entry.miss.mired is None and entry.miss.words == "no longer a white" and entry.miss.steps > 50
    assert entry.nominal.cct is None


def test_a_minus_green_moves_tungsten_in_mired_too():
    """Plain arithmetic never sees it: half a minus green on 3 200 K warms by about 40 mired."""
    entry = predicted(source(kind="tungsten", cct=3200.0, duv=0.0), ["Minus green 1/2"])
    assert entry.nominal.cct == pytest.approx(3200, abs=0.01)
    assert abs(1e6 / entry.after.cct - 1e6 / 3200) > 20


@pytest.mark.parametrize(
    ("stack", "target", "where"),
    [
        (["CTO 1/4", "Straw 1/2"], Target(cct=5600), "stack[1]"),
        ([], Target(source="Nobody"), "target.source"),
    ],
)
def test_a_wrong_prediction_is_refused_at_its_place(stack, target, where):
    [problem] = refused(predicted, source(), stack, target)
    assert problem.where == where


def test_a_wrong_reading_is_refused_at_its_place():
    wrong = source().model_copy(update={"reading": Reading(cct=1000, duv=0.05)})
    [problem] = refused(predicted, wrong, [])
    assert problem.where == "source.reading.duv"
