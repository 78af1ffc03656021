"""Gels that together pass no light: two edge filters of which each stops what the other lets through."""

import numpy as np
import pytest

from advisor.advice.answer.advise import advise, predict
from advisor.advice.common_white.find import common_whites
from advisor.advice.cost.judge import Judge
from advisor.advice.dials.ranking import dialled
from advisor.advice.overview.mix import mix
from advisor.advice.plan.make import make_plan
from advisor.advice.ranking.pareto import rank
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import Outcomes, prepare
from advisor.model import Gel, Limits, PredictionRequest, Refused, Stage, Target, Transmittance, Work
from tests.advice.heads import REACH, dial, head
from tests.advice.rows import asking, nominal, source

WAVES = np.arange(380.0, 1001.0, 5.0)


def edge(family, passes, **shift):
    values = np.where(passes, 0.9, 0.0).tolist()
    curve = Transmittance(start=380, step=5, values=values)
    return Gel(family=family, fraction="full", transmittance=curve, **shift)


ROWS = [
    *nominal(),
    edge("Short", WAVES < 560, mired=-100),
    edge("Long", WAVES >= 560, cc=-10),
    edge("Far", WAVES > 900, mired=20),
]
BOTH = ["Short full", "Long full"]
SAYS = "these gels together let no light through"


def test_a_stack_built_by_hand_is_refused():
    asked = PredictionRequest(source=source(), target=Target(cct=5600), stack=BOTH)
    with pytest.raises(Refused) as no:
        predict(asked, ROWS)
    [problem] = no.value.problems
    assert (problem.where, problem.says, problem.allowed) == ("stack", SAYS, "gels that pass some of it")


def test_what_hangs_anyway_is_refused():
    with pytest.raises(Refused) as no:
        advise(asking(source(keep=BOTH)), ROWS)
    assert [(p.where, p.says) for p in no.value.problems] == [("sources[0].keep", SAYS)]


def test_a_plan_says_so_of_that_head_and_of_what_was_decided():
    dark = source("Dark", keep=BOTH, lux=100)
    decided = source("Decided", lux=100, work=Work(stage=Stage.HUNG, gels=BOTH))
    plan = make_plan([dark, decided, source(lux=100)], Target(cct=5600), Limits(), ROWS)
    assert [p.where for p in plan.heads[0].problems] == ["keep"]
    assert plan.heads[1].chosen is None and SAYS in plan.heads[1].notes[0]
    assert plan.heads[2].best.gels == ["CTO 1/4"]
    assert np.isfinite(mix(plan, gelled=True).uv).all()


@pytest.mark.parametrize("layers", [2, 3])
def test_the_ranking_and_the_grid_of_whites_leave_it_out(layers):
    limits = Limits(max_layers=layers)
    [answer] = advise(asking(source(), max_layers=layers), ROWS).sources
    [plain] = advise(asking(source(), max_layers=layers), nominal()).sources
    assert answer.stacks[0] == plain.stacks[0]
    assert not any({*BOTH} <= {*stack.gels} or "Far full" in stack.gels for stack in answer.stacks)
    whites = common_whites([source()], Target(cct=5600), limits, ROWS)
    assert np.isfinite(whites.costs[whites.grid.real]).all()


def test_a_head_with_dials_leaves_it_out():
    gel_arrays = gel_arrays_of(tuple(ROWS))
    bare = prepare(head([dial(3200), dial(5600)], REACH), gel_arrays, white_of(Target(cct=4300), []))
    stacks = dialled(bare, Limits(max_layers=2), gel_arrays).stacks
    assert all(np.isfinite(stack.stops) and not {*BOTH} <= {*stack.gels} for stack in stacks)


def test_one_without_a_colour_does_not_rule_out_the_others():
    """A stack behind which one spectrum of several has no light misses by NaN, and has stops."""
    gel_arrays = gel_arrays_of(tuple(ROWS))
    bare = prepare(source(), gel_arrays, white_of(Target(cct=5600), []))
    stacks = np.array([[-1], gel_arrays.find(["Plus green full"]), gel_arrays.find(["CTO 1/4"])])
    steps, passed = np.array([9.0, np.nan, 1.0]), np.array([1.0, 0.9, 0.5])
    outcomes = Outcomes(np.zeros((3, 2)), steps, passed)
    for most in (None, 2.0):
        judge = Judge(bare, gel_arrays, Limits(max_stops=most))
        assert sorted(rank(judge, stacks, outcomes)) == [0, 2]
