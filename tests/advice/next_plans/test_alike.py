"""The same gels on all windows of a room: against trying every stack on all of them."""

import numpy as np
import pytest

from advisor.advice.learned.informed import judge_of
from advisor.advice.next_plans.jointly import match_alike
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand
from advisor.model import Gel, Limits, Opening, Refused, Target, WantedOffset
from tests.advice.rows import source

ROWS = [
    *(Gel(family="CTO", fraction=f, mired=m) for f, m in (("1/8", 20), ("1/4", 40), ("1/2", 80))),
    Gel(family="Minus green", fraction="1/8", cc=-3.5),
]
EVERY = [[], *([row.name] for row in ROWS), *([a.name, b.name] for i, a in enumerate(ROWS) for b in ROWS[i:])]
"""No gel, each alone, and every two of them: all that hangs in two layers."""


def room(*whites, target=5000.0, **limits):
    windows = [source(f"Window {k}", cct=cct, duv=duv) for k, (cct, duv) in enumerate(whites, start=1)]
    return make_plan(windows, Target(cct=target), Limits(max_layers=2, **limits), ROWS)


@pytest.mark.parametrize(
    "whites",
    [
        [(6000.0, 0.004), (6600.0, 0.004)],
        [(5600.0, 0.003), (7200.0, 0.006), (6300.0, 0.002)],
        [(9000.0, 0.005), (12000.0, 0.006)],
    ],
)
def test_no_other_stack_costs_the_worst_window_less(whites):
    plan = room(*whites)
    places = list(range(len(whites)))
    found = match_alike(plan, places)
    hung = {turn.gels for turn in found.turns}
    assert len(hung) == 1, "the same on all"

    def value(i, gels):
        """What is beyond three steps, two steps a stop in tenths, half a step a layer, and odd habits."""
        entry = by_hand(plan, i, gels)
        judge = judge_of(plan.prepared[i], plan.gel_arrays, plan.limits)
        [odd] = judge.fussy(np.array([sorted(plan.gel_arrays.find(gels))], dtype=np.intp).reshape(1, -1))
        light = np.floor(entry.stops * 10 + 0.5) / 10
        return max(entry.miss.steps - 3.0, 0.0) + 2.0 * light + 0.5 * entry.layers + odd

    def worst(gels):
        return max(value(i, gels) for i in places)

    least = min(worst(gels) for gels in EVERY)
    assert worst(list(hung.pop())) == pytest.approx(least, abs=2e-3)


def test_windows_that_read_alike_stay_alike():
    found = match_alike(room((6600.0, 0.004), (6600.0, 0.004)), [0, 1])
    assert found.turns[0].gels == found.turns[1].gels
    assert found.after == 0.0


def test_on_large_glass_one_layer_goes_before_three_thin_ones():
    """6 500 and 6 650 K to 5 000 K need 46 to 50 mired: ¼ CTO brings 40, three ⅛ bring 60."""
    pane = [Opening(width=2.0, height=3.0)]
    windows = [source(f"Window {k}", cct=cct, duv=0.004, openings=pane) for k, cct in enumerate((6500, 6650))]
    plan = make_plan(windows, Target(cct=5000), Limits(max_layers=3), ROWS)
    assert match_alike(plan, [0, 1]).turns[0].gels == ("CTO 1/4",)


def test_one_is_refused():
    with pytest.raises(Refused, match="two sources or more"):
        match_alike(room((6600.0, 0.004)), [0])


def test_windows_with_other_fixed_gels_that_nothing_fits_are_refused():
    windows = [
        source("A", cct=6600.0, duv=0.004, keep=["CTO 1/8"], no_gel="reach"),
        source("B", cct=6600.0, duv=0.004, keep=["CTO 1/4"], no_gel="reach"),
    ]
    plan = make_plan(windows, Target(cct=5000), Limits(max_layers=2), ROWS)
    with pytest.raises(Refused, match="no gels may hang on all of them"):
        match_alike(plan, [0, 1])


def test_one_that_is_off_on_purpose_is_refused():
    windows = [source("A"), source("B", aim=WantedOffset(leave=True))]
    plan = make_plan(windows, Target(cct=5000), Limits(), ROWS)
    with pytest.raises(Refused, match="off on purpose"):
        match_alike(plan, [0, 1])
