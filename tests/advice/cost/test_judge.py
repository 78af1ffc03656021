"""What stacks on a source are worth, with every number of it written down."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.answer.advise import advise
from advisor.advice.cost.judge import Judge
from advisor.advice.ranking.pareto import judged
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import predict_stacks, prepare
from advisor.model import EXACT, Gel, Limits, Refused, Target
from tests.advice.large import some_source
from tests.advice.rows import asking, neutral, nominal, source
from tests.advice.searching import SILENT, reference_of
from tests.thorough import cases

ROWS = [*nominal(), *neutral()]
RACK = gel_arrays_of(tuple(ROWS))


def judge_of(rows=ROWS, duv=0.0, cct=6500.0, target=5600.0, keep=(), **limits):
    """A daylight source that is off a Planckian target by a Duv."""
    gel_arrays = gel_arrays_of(tuple(rows))
    head = source(kind="unknown", cct=cct, duv=duv, keep=list(keep))
    bare = prepare(head, gel_arrays, white_of(Target(cct=target, locus="planckian"), [head]))
    return Judge(bare, gel_arrays, Limits(accuracy=EXACT, **limits))


def stack_of(judge, *names, width=3):
    found = judge.gel_arrays.find(names)
    return np.array([found + [NONE] * (width - len(found))])


def farther(judge, *names):
    """How much farther off a stack counts than it is. [step]"""
    return float(judge.fussy(stack_of(judge, *names))[0])


class TestGreenWithoutAReason:
    """Less than half an eighth, 1.75 CC, is no reason: half a step. Common practice, no source."""

    @pytest.mark.parametrize(
        ("duv", "plus", "minus"),
        [
            (0.0032, 0.5, 0.0),  # too green
            (0.0017, 0.5, 0.5),  # hardly green
            (0.0, 0.5, 0.5),
            (-0.0017, 0.5, 0.5),
            (-0.0018, 0.0, 0.5),  # too magenta
        ],
    )
    def test_half_a_step(self, duv, plus, minus):
        judge = judge_of(duv=duv)
        assert farther(judge, "Plus green 1/8") == plus
        assert farther(judge, "Minus green 1/8") == minus
        assert farther(judge, "CTO 1/4", "Plus green 1/4") == plus
        assert farther(judge, "CTO 1/4") == farther(judge) == 0.0

    def test_two_sheets_of_it_count_once(self):
        assert farther(judge_of(), "Plus green 1/8", "Plus green full") == 0.5

    def test_a_gel_that_mainly_warms_is_no_green_gel(self):
        """CC 0.3 a mired is where green begins."""
        rows = [
            *ROWS,
            *(Gel(family=f"Both {cc}", fraction="full", mired=100.0, cc=cc) for cc in (29.0, 31.0)),
        ]
        judge = judge_of(rows)
        assert farther(judge, "Both 29.0 full") == 0.0 and farther(judge, "Both 31.0 full") == 0.5

    def test_what_is_kept_is_nobodys_choice(self):
        judge = judge_of(keep=["Plus green 1/4"])
        assert farther(judge, "Plus green 1/4") == 0.0
        assert farther(judge, "Plus green 1/4", "Plus green 1/8") == 0.5


class TestTwoSheetsInPlaceOfOne:
    """Half a step, where one sheet of the family does as much, to a tenth of it."""

    @pytest.mark.parametrize(
        ("names", "counts"),
        [
            (("CTO 1/2", "CTO 1/2"), 0.5),
            (("CTO 1/4", "CTO 1/8"), 0.0),  # there is no three eighths
            (("CTO 1/2", "CTO 1/4"), 0.5),
            (("CTO 1/2", "Plus green 1/4"), 0.0),
            (("CTO 1/4", "CTO 1/4", "Plus green 1/4"), 0.5),
            (("CTO full", "CTO full"), 0.0),
            (("Plus green 1/8", "Plus green 1/8"), 0.5),  # 7.0 against 7.5 CC
            (("Plus green 1/2", "Plus green 1/8"), 0.0),  # 18.5 against 15 or 22.5 CC
        ],
    )
    def test_half_a_step(self, names, counts):
        assert farther(judge_of(duv=-0.01), *names) == counts

    def test_both_reasons_add_up(self):
        assert farther(judge_of(), "CTO 1/2", "CTO 1/2", "Plus green 1/8") == 1.0

    @pytest.mark.parametrize("change", [{"on": False}, {"stock": 0}])
    def test_the_one_sheet_has_to_be_there(self, change):
        rows = [row.model_copy(update=change) if row.name == "CTO full" else row for row in ROWS]
        assert farther(judge_of(rows), "CTO 1/2", "CTO 1/2") == 0.0

    def test_and_to_be_allowed(self):
        allowed = [row.name for row in ROWS if row.name != "CTO full"]
        assert farther(judge_of(only_gels=allowed), "CTO 1/2", "CTO 1/2") == 0.0

    def test_a_sheet_that_hangs_and_one_that_is_added_are_no_two_of_a_choice(self):
        judge = judge_of(keep=["CTO 1/2"])
        assert farther(judge, "CTO 1/2", "CTO 1/2") == 0.0
        assert farther(judge, "CTO 1/2", "CTO 1/2", "CTO 1/2") == 0.5


class TestRisk:
    @pytest.mark.parametrize(
        ("tolerance", "target", "more"),
        [(40.0, 5600.0, 0.5), (0.1, 3200.0, 2.0)],
        ids=["all within", "all beyond"],
    )
    def test_half_a_step_farther_off_counts_four_times_beyond_the_tolerance(self, tolerance, target, more):
        """Two eighths, where there is a quarter and where there is none."""
        risks = []
        for rows in (ROWS, [row for row in ROWS if row.name != "CTO 1/4"]):
            judge = judge_of(rows, tolerance_steps=tolerance, target=target)
            stacks = stack_of(judge, "CTO 1/8", "CTO 1/8")
            risks += judge.risk(stacks, judge.certainty(stacks)).tolist()
        assert risks[0] - risks[1] == pytest.approx(more, abs=1e-9)

    def test_the_cost_adds_two_steps_a_stop_and_half_a_step_a_layer(self):
        judge = judge_of()
        stacks = np.concatenate(
            [stack_of(judge), stack_of(judge, "ND 0.3"), stack_of(judge, "CTO 1/4", "ND 0.3")]
        )
        price = judge.cost(stacks, np.array([1.0, 1.0, 1.5]), np.array([1.0, 0.5, 0.25]))
        assert price == pytest.approx([1.0, 1.0 + 2.0 + 0.5, 1.5 + 4.0 + 1.0])

    def test_light_counts_in_tenths_of_a_stop(self):
        judge = judge_of()
        passed = 2.0 ** -np.array([0.04, 0.06, 0.14, 0.16])
        price = judge.cost(np.repeat(stack_of(judge), 4, axis=0), np.zeros(4), passed)
        assert price == pytest.approx([0.0, 0.2, 0.2, 0.4])

    def test_what_has_to_be_lost_costs_nothing_and_a_stop_too_few_ten(self):
        judge = judge_of()
        judge = replace(judge, bare=replace(judge.bare, over=1.0))
        assert judge.counted(np.array([0.5, 0.25, 0.5**0.9])) == pytest.approx([0.0, 1.0, 1.0])

    @given(st.integers(0, 10_000), st.floats(0.1, 20.0), st.floats(0.1, 20.0))
    @settings(max_examples=cases(25, 3), deadline=None)
    def test_within_a_looser_tolerance_it_is_more_likely(self, seed, a, b):
        head = some_source(np.random.default_rng(seed))
        bare = prepare(head, RACK, white_of(Target(cct=5600), [head]))
        stacks = np.array([[NONE], *([i] for i in range(len(RACK.names)))])
        tight, loose = (
            Judge(bare, RACK, SILENT.model_copy(update={"tolerance_steps": t})) for t in sorted((a, b))
        )
        sure = tight.certainty(stacks)
        chances = tight.within(sure), loose.within(sure)
        assert (chances[0] <= chances[1] + 1e-12).all()
        assert (chances[0] >= -1e-9).all() and (chances[1] <= 1.0 + 1e-9).all()

    @pytest.mark.parametrize("seed", range(8))
    def test_what_may_be_on_the_front_is_judged_and_as_the_reference_says(self, seed):
        rng = np.random.default_rng([31, seed])
        head = some_source(rng)
        bare = prepare(head, RACK, white_of(Target(cct=5600), [head]))
        judge = Judge(bare, RACK, SILENT)
        stacks = np.sort(rng.integers(len(RACK.names), size=(500, 2)), axis=1)
        stacks[0] = NONE
        [outcomes] = predict_stacks([bare], RACK, stacks)
        [found] = judged([judge], [(stacks, outcomes)])
        risk = found.risk
        exact, _ = reference_of(bare, RACK, ROWS, SILENT).risk(stacks)
        known = np.isfinite(risk)
        assert known[0] and 0 < known.sum() < 400
        np.testing.assert_allclose(risk[known], exact[known], rtol=2e-4)
        price = judge.cost(stacks, exact, outcomes.passed)
        assert known[np.argmin(price)] and known[np.argmin(exact)]


class TestAnswer:
    def stacks(self, *heads, **limits):
        return [answer.stacks for answer in advise(asking(*heads, **limits), ROWS).sources]

    @given(st.integers(0, 10_000), st.floats(0.5, 10.0), st.sampled_from([None, 0.5]))
    @settings(max_examples=cases(25, 3), deadline=None)
    def test_the_list_is_in_rising_order_of_the_cost(self, seed, tolerance, most):
        head = some_source(np.random.default_rng(seed))
        try:
            [found] = self.stacks(head, tolerance_steps=tolerance, max_stops=most)
        except Refused:
            return
        price = [entry.cost for entry in found]
        assert price == sorted(price) and all(0.0 <= entry.within <= 1.0 for entry in found)

    def test_what_looks_the_same_points_to_one_above_it(self):
        for found in self.stacks(*(source(f"S{cct}", cct=cct) for cct in (4300.0, 6800.0, 9000.0))):
            assert found[0].same_as is None
            assert all(e.same_as is None or e.same_as < k for k, e in enumerate(found))

    def test_light_nearer_than_a_tenth_does_not_stand_before_a_layer(self):
        """Two stacks nearer in light than 0.1 stop are the same in light: of equal risk, the fewer layers."""
        rows = [
            Gel(family="CTO", fraction="full", mired=40.0, stops=0.56),
            *(Gel(family="Part", fraction=f, mired=20.0, stops=0.27) for f in ("1/4", "1/2")),
        ]
        [answer] = advise(asking(source(cct=7300.0, duv=0.0)), rows).sources
        at = {tuple(entry.gels): k for k, entry in enumerate(answer.stacks)}
        parts = at.get(("Part 1/4", "Part 1/2"), at.get(("Part 1/2", "Part 1/4"), len(at)))
        assert at["CTO full",] < parts
