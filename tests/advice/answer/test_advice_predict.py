"""One stack predicted: the entry that a ranking would have, or why there is none."""

import math

import pytest

from advisor.advice.answer.advise import predict
from advisor.model import Kind, PredictionRequest, Reading, Target
from tests.advice.answers import TABLE, refused, stacks
from tests.advice.rows import asking, source

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
    aimed = Target(cct=5600)
    assert _du_v((entry.after.x, entry.after.y), _xy_of(aimed)) == pytest.approx(entry.miss.du_v, abs=5e-5)


def test_what_is_read_as_x_and_y_comes_back_as_x_and_y():
    entry = predicted(source().model_copy(update={"reading": Reading(xy=(0.3805, 0.3769))}), [])
    assert (entry.after.x, entry.after.y) == (0.3805, 0.3769)


def _xy_of(target):
    """Return (x, y) of a daylight target: CIE 15:2018, equations 4.1 and 4.3, below 7 000 K."""
    x = -4.6070e9 / target.cct**3 + 2.9678e6 / target.cct**2 + 0.09911e3 / target.cct + 0.244063
    return x, -3.000 * x**2 + 2.870 * x - 0.275


def _du_v(one, other):
    """Return the distance of two (x, y) in CIE 1976 u′, v′ (CIE 15:2018, 8.2.1.1)."""
    (u, v), (s, t) = ((4 * x / (-2 * x + 12 * y + 3), 9 * y / (-2 * x + 12 * y + 3)) for x, y in (one, other))
    return math.hypot(u - s, v - t)


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
