"""Glass: a second layer is dear, and a row that is two gels in one sheet is hung as one."""

import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.cost.counted import second_layer
from advisor.advice.ranking.explain import why
from advisor.imports.gels.csv_table import read_gels, shipped_gels
from advisor.model import Gel, Limits, Opening, Role
from tests.advice.rows import asking, nominal, source

SHIPPED = shipped_gels().rows
PANE = Opening(width=2.0, height=3.0)
SUN = {"cct": 6300.0, "duv": 0.0085}
"""Skylight through tinted glass: a gel and a half too cool and too green."""


def window(*openings, **more):
    return source("Window", openings=list(openings), **{**SUN, **more})


@pytest.mark.parametrize(
    ("sizes", "layers"),
    [
        ([], 0.0),  # nobody gave its size
        ([(0.5, 1.2, 1)], 0.0),  # a sheet of 0.53 × 1.22 m covers it
        ([(1.06, 1.22, 1)], 1.0),  # two sheets: it counts as one layer more
        ([(2.0, 3.0, 1)], 3.0),  # 9.3 sheets, and no more than that
        ([(0.5, 1.2, 3)], 2.0),  # three panes of a sheet
    ],
)
def test_a_second_layer_is_dear_by_the_glass(sizes, layers):
    openings = [Opening(width=w, height=h, count=n) for w, h, n in sizes]
    assert second_layer(window(*openings)) == pytest.approx(layers)


def test_a_head_is_not_glass():
    assert second_layer(window(PANE, kind="tungsten")) == 0.0


def test_the_cost_is_higher_by_just_that_for_each_layer_beyond_the_first():
    plain, glass = (
        advise(asking(one, max_layers=3), nominal()).sources[0] for one in (window(), window(PANE))
    )
    there = {tuple(stack.gels): stack for stack in plain.stacks}
    both = [(there[tuple(s.gels)], s) for s in glass.stacks if tuple(s.gels) in there]
    assert {s.layers for _, s in both} >= {0, 1, 2}
    for before, after in both:
        assert after.cost - before.cost == pytest.approx(1.5 * max(after.layers - 1, 0), abs=1e-5)


def test_one_layer_goes_before_two_where_two_bring_less_than_two_steps():
    plain, glass = (
        advise(asking(one, max_layers=3), nominal()).sources[0] for one in (window(), window(PANE))
    )
    assert plain.stacks[0].layers == 2
    assert glass.stacks[0].layers <= plain.stacks[0].layers
    costs = [stack.cost for stack in glass.stacks]
    assert costs == sorted(costs)


def test_why_one_is_above_another_counts_the_glass_for_no_colour():
    """What is said of the colour rests on the expected loss alone."""
    glass = advise(asking(window(PANE), max_layers=2), nominal()).sources[0]
    assert glass.glass_steps == 1.5
    plain = glass.model_copy(
        update={
            "glass_steps": 0.0,
            "stacks": [
                s.model_copy(update={"cost": s.cost - 1.5 * max(s.layers - 1, 0)}) for s in glass.stacks
            ],
        }
    )
    for k in range(1, min(len(glass.stacks), 5)):
        assert why(glass, 0, k, Limits()) == why(plain, 0, k, Limits())


class TestTwoGelsInOneSheet:
    """½ CTO with a stop of ND in it, as a row of the table: 80 mired, and the light of both."""

    BOTH = Gel(family="CTO with ND", fraction="1/2", mired=80, stops=1.6, known="generic")

    def bright(self, rows):
        key = source("Key", cct=3870.0, duv=0.0, lux=1000.0, role=Role.KEY, kind="tungsten")
        sky = source("Window", cct=5600.0, duv=0.0, lux=3000.0, over_key=0.0, openings=[PANE])
        return advise(asking(key, sky, target={"cct": 3870}), rows).sources[1].stacks

    def test_it_is_hung_as_one_sheet_where_colour_and_light_want_it(self):
        best = self.bright([*SHIPPED, self.BOTH])[0]
        assert best.gels == ["CTO with ND 1/2"]
        assert best.layers == 1
        assert best.stops == pytest.approx(1.6, abs=0.1)

    def test_without_it_two_layers_do_that(self):
        best = self.bright(SHIPPED)[0]
        assert best.layers >= 2
        assert any(name.startswith("ND") for name in best.gels)

    def test_where_no_light_is_to_be_lost_the_plain_gel_goes_first(self):
        sky = source("Window", cct=5600.0, duv=0.0, openings=[PANE])
        best = advise(asking(sky, target={"cct": 3870}), [*SHIPPED, self.BOTH]).sources[0].stacks[0]
        assert best.gels == ["CTO 1/2"]

    def test_a_table_may_bring_it(self):
        [row] = read_gels("family,fraction,mired,cc,stops,known\nCTO with ND,1/2,80,0,1.6,generic\n").rows
        assert row == self.BOTH
