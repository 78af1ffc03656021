"""What readings behind gels teach: a stack that was read is known, and tells something of the others."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.answer.advise import advise
from advisor.advice.learned.informed import judge_of
from advisor.advice.learned.off_label import off_labels
from advisor.advice.learned.posterior import posterior
from advisor.advice.plan.make import make_plan
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.advice.stacks.uncertainty import stronger
from advisor.colour.observer.chromaticity import PER_STEP
from advisor.colour.observer.grid import weights
from advisor.model import (
    AdviceRequest,
    Kind,
    Known,
    Limits,
    Reading,
    Refused,
    Source,
    Stage,
    Work,
)
from tests.advice.read_lamp import (
    ACCURACY,
    BARE,
    READINGS,
    SHIPPED,
    TARGET,
    answer,
    as_predicted,
    behind,
    entry,
    predicted,
    source,
)
from tests.thorough import cases


def place(after):
    return np.array([after.x, after.y])


class TestReadingsOfTheStack:
    def test_it_shows_what_was_read_and_no_guess(self):
        found = entry(answer(behind("CTB full", cct=5210, duv=-0.002, lux=333)), "CTB full")
        assert found.read.cct == pytest.approx(5210, abs=0.5)
        assert found.read.duv == pytest.approx(-0.002, abs=1e-5)
        assert (found.after.cct, found.after.duv) == (found.read.cct, found.read.duv)
        assert found.after.lux == found.read.lux == 333
        assert found.miss.steps == pytest.approx(found.read.steps, abs=0.002)

    def test_of_two_readings_of_one_stack_it_shows_the_mean(self):
        one, other = (behind("CTB full", cct=cct, duv=-0.002) for cct in (5200, 5240))
        assert 5218 < entry(answer(one, other), "CTB full").read.cct < 5222

    def test_what_was_read_is_listed_whatever_beats_it(self):
        found = answer(behind("CTO full", cct=2200, duv=0.0))
        assert entry(found, "CTO full").read.steps > 30
        assert found.stacks[-1].cost >= entry(found, "CTO full").cost

    def test_the_list_rises_by_cost_still(self):
        found = answer(behind("CTB full", cct=5210, duv=-0.002), behind("CTB 1/2", cct=4100, duv=0.0))
        costs = [stack.cost for stack in found.stacks]
        assert costs == sorted(costs)

    def test_what_was_read_as_worse_never_costs_less(self):
        readings = [
            behind("CTB full", "CTB 1/8", "Plus green 1/8", cct=5280, duv=0.0011),
            behind("CTB full", cct=5260, duv=0.0011),
        ]
        found = answer(*readings)
        read = sorted((s for s in found.stacks if s.read), key=lambda stack: stack.read.steps)
        assert [s.cost for s in read] == sorted(s.cost for s in read)

    def test_within_the_tolerance_it_is_left_alone(self):
        target_read = behind("CTB full", cct=5560, duv=0.003)
        first = answer(target_read).stacks[0]
        assert first.gels == ["CTB full"]
        assert first.read is not None
        assert first.within > 0.9

    def test_without_gels_in_a_reading_nothing_changes(self):
        plain = answer()
        assert all(stack.read is None and stack.moves is None for stack in plain.stacks)
        again = Reading(cct=3052, duv=0.001)
        assert answer(again).model_dump() == plain.model_dump()


class TestOverALimit:
    """What was read, and may hang no more, is nothing to fall back on after a bad try."""

    READ = (
        behind("CTB full", cct=5300, duv=-0.001, lux=250),
        behind("CTB full", "CTB 1/8", cct=5560, duv=-0.002, lux=210),
    )

    def told(self, limits, read=READ, work=None):
        lamp = source(*read, work=work)
        [head] = make_plan([lamp], TARGET, Limits(accuracy=ACCURACY, **limits), SHIPPED).heads
        return head

    @pytest.mark.parametrize(
        "limits",
        [{"max_stops": 1.3}, {"max_layers": 1, "exclude_families": ["Plus green"], "max_stops": 1.3}],
    )
    def test_what_is_nearer_by_ten_steps_costs_less(self, limits):
        stacks = self.told(limits).advice.stacks
        assert all(stack.stops <= 1.3 for stack in stacks)
        for one, other in itertools.combinations(stacks, 2):
            assert one.miss.steps < other.miss.steps + 10
        assert stacks[0].miss.steps < 25 < stacks[-1].miss.steps

    def test_by_layers_too(self):
        one_layer = self.told({"max_layers": 1, "only_gels": ["CTB 1/8", "CTB 1/4", "CTB 1/2"]})
        stacks = one_layer.advice.stacks
        assert [stack.gels for stack in stacks[:3]] == [["CTB 1/2"], ["CTB 1/4"], ["CTB 1/8"]]

    def test_what_hangs_stays_to_fall_back_on(self):
        near = behind("CTB full", "CTB 1/8", cct=5560, duv=0.001)
        hung = Work(stage=Stage.CONFIRMED, gels=near.gels, read_bare=BARE, read_behind=near)
        limits = {"max_layers": 1, "only_gels": ["CTB 1/2", "CTB full"]}
        hangs, no_more = self.told(limits, (near,), hung), self.told(limits, (near,))
        assert max(s.cost for s in hangs.advice.stacks if s.layers) < 15, "or somebody leaves it as it is"
        assert min(s.cost for s in no_more.advice.stacks if s.layers) > 15


class TestTheOthers:
    def test_a_weak_sheet_counts_as_weak_in_other_stacks(self):
        weak = behind("CTB full", cct=4700, duv=0.0)
        was, now = predicted("CTB full", "CTB 1/8"), predicted("CTB full", "CTB 1/8", of=source(weak))
        assert now.after.cct < was.after.cct - 200

    def test_the_doubt_becomes_less(self):
        seen = as_predicted("CTB full")
        was, now = predicted("CTB full", "CTB 1/8"), predicted("CTB full", "CTB 1/8", of=source(seen))
        assert now.uncertainty_steps < 0.6 * was.uncertainty_steps

    @pytest.mark.parametrize("gels", [["CTB full"], ["CTB 1/2", "Minus green 1/8"], ["CTO 1/4"]])
    def test_a_reading_as_predicted_changes_nothing_but_the_doubt(self, gels):
        seen = source(as_predicted(*gels))
        for other in (["CTB full", "CTB 1/8"], ["CTB 1/2"], ["CTB full", "Minus green 1/8"], []):
            was, now = predicted(*other), predicted(*other, of=seen)
            assert place(now.after) == pytest.approx(place(was.after), abs=3e-5)

    def test_an_exact_meter_is_no_trouble(self):
        exact = AdviceRequest(target=TARGET, sources=[source(behind("CTB full", cct=5210, duv=-0.002))])
        assert advise(exact, SHIPPED).sources[0].stacks[0].cost > 0.0

    def test_many_readings_of_one_stack_are_no_trouble(self):
        seen = [behind("CTB full", cct=5200 + k, duv=-0.002) for k in range(60)]
        assert entry(answer(*seen), "CTB full").read.cct == pytest.approx(5239.5, abs=12)


@pytest.mark.parametrize("order", list(itertools.permutations(range(4)))[::5])
def test_the_order_of_readings_makes_no_difference(order):
    plain = answer(*READINGS).model_dump()
    assert answer(*(READINGS[k] for k in order)).model_dump() == plain


@settings(deadline=None, max_examples=cases(15, 2))
@given(
    st.lists(
        st.tuples(
            st.lists(st.sampled_from([row.name for row in SHIPPED]), min_size=1, max_size=3),
            st.floats(1500, 20000),
            st.floats(-0.04, 0.04),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_whatever_was_read_there_is_an_answer(found):
    seen = [Reading(cct=cct, duv=duv, gels=gels) for gels, cct, duv in found]
    try:
        stacks = answer(*seen).stacks
    except Refused:
        pytest.fail("a reading behind gels is no reason to refuse")
    assert all(np.isfinite(stack.cost) for stack in stacks)
    assert all(0.0 <= stack.within <= 1.0 for stack in stacks)


def test_the_fit_is_the_conditional_normal_distribution():
    """Against the textbook formula (Rasmussen and Williams 2006, eq. 2.22 to 2.24, from memory)."""
    from advisor.advice.learned.posterior import repeats
    from advisor.advice.learned.unknowns import unknowns
    from advisor.advice.stacks.prediction import behind_each, predict_stacks

    gel_arrays = gel_arrays_of(tuple(SHIPPED))
    after = [(r.gels, predicted(*r.gels).after) for r in READINGS[:3]]
    near = [behind(*gels, cct=0.99 * a.cct, duv=a.duv + 0.0004) for gels, a in after]
    bare = prepare(source(*near), gel_arrays, white_of(TARGET, []))
    known = posterior(bare, gel_arrays, ACCURACY)
    assert not known.loose
    names = [[], ["CTB full"], ["CTB full", "CTB 1/8"], ["CTB 1/2"], ["CTB full", "Minus green 1/8"]]
    stacks = np.full((5, 2), NONE)
    for row, gels in enumerate(names):
        stacks[row, : len(gels)] = gel_arrays.find(gels)
    [there] = behind_each([bare], gel_arrays, [stacks])
    sheets = stronger(bare, gel_arrays, stacks, there.filters, ACCURACY)
    moves = unknowns(bare, gel_arrays, stacks, there, sheets)
    kernel = np.einsum("mqc,nqd->mcnd", moves, moves)
    [plain] = predict_stacks([bare], gel_arrays, stacks)
    read = np.array([bare.white.uv, *(one.uv for one in sorted_as(known, gel_arrays, names[1:4]))])
    off = ((read - plain.uv[:4]) * PER_STEP).ravel()
    noise = np.kron(np.eye(4), repeats(bare.white, ACCURACY) + 0.01 * np.eye(2))
    inverse = np.linalg.inv(kernel[:4, :, :4].reshape(8, 8) + noise)
    across = kernel[4, :, :4].reshape(2, 8)
    outcomes, covariance = known.landed(stacks[4:])
    moved = ((outcomes.uv - plain.uv[4:]) * PER_STEP)[0]
    assert moved == pytest.approx(across @ inverse @ off, abs=1e-6)
    wanted = kernel[4, :, 4] - across @ inverse @ across.T
    assert covariance[0] == pytest.approx(wanted, abs=1e-6)


def sorted_as(known, gel_arrays, names):
    return [next(t for t in known.taken if t.gels == tuple(sorted(gel_arrays.find(gels)))) for gels in names]


class TestMoves:
    def test_what_leads_from_what_hangs_to_each(self):
        found = answer(behind("CTB 1/2", cct=4020, duv=0.0), hung=["ctb 1/2"])
        for stack in found.stacks:
            left = ["CTB 1/2"]
            for gel in stack.moves.take_off:
                left.remove(gel)
            assert sorted([*left, *stack.moves.hang]) == sorted(stack.gels)
        assert entry(found, "CTB 1/2").moves.take_off == entry(found, "CTB 1/2").moves.hang == []

    def test_gels_that_are_in_no_table_are_refused(self):
        with pytest.raises(Refused) as no:
            answer(hung=["Straw full"])
        assert no.value.problems[0].where == "sources[0].hung[0]"


def test_a_light_that_was_read_often_is_certain():
    gel_arrays = gel_arrays_of(tuple(SHIPPED))
    bare = prepare(source(*READINGS), gel_arrays, white_of(TARGET, []))
    judge = judge_of(replace(bare), gel_arrays, Limits(accuracy=ACCURACY))
    read = np.array([gel_arrays.find(["CTB full"])])
    assert judge.certainty(read).steps[0] < 1.0


class TestGelsOffTheirLabels:
    def said(self, *strengths, table=SHIPPED, gels=("CTB full",), kind=Kind.TUNGSTEN):
        """What is said where gels, in turn, are so many times as strong on lamps of several kinds."""
        gel_arrays = gel_arrays_of(tuple(table))
        fits = []
        for cct, strength, gel in zip(
            (2900, 3050, 3200, 2700), strengths, itertools.cycle(gels), strict=False
        ):
            bare = Reading(cct=cct, duv=0.0005)
            lamp = Source(name="Lamp", kind=kind, reading=bare)
            made = prepare(lamp, gel_arrays, white_of(TARGET, []))
            lit = made.mean[0] * gel_arrays.product(gel_arrays.find([gel])) ** strength
            x, y, z = lit @ weights()
            seen = Reading(xy=(x / (x + y + z), y / (x + y + z)), gels=[gel])
            lamp = lamp.model_copy(update={"readings": [seen]})
            fits.append(posterior(prepare(lamp, gel_arrays, white_of(TARGET, [])), gel_arrays, ACCURACY))
        return off_labels(fits, gel_arrays, ACCURACY)

    def test_a_gel_that_is_weak_on_three_sources_is_named(self):
        [one] = self.said(0.92, 0.92, 0.92)
        assert (one.names, one.sources) == (("CTB full",), 3)
        assert one.percent == pytest.approx(-8, abs=2.5)

    def test_how_far_that_may_be_off_is_told_and_ends_short_of_the_label(self):
        [two], [four] = self.said(0.9, 0.9), self.said(0.9, 0.9, 0.9, 0.9)
        assert two.doubt > four.doubt > 0
        assert two.percent + two.doubt < 0

    @pytest.mark.parametrize("kind", [Kind.FLUORESCENT, Kind.DISCHARGE, Kind.LED_MIX])
    def test_lamps_of_one_kind_whose_lines_nobody_knows_prove_nothing_together(self, kind):
        """They are wrong in one way: what all of them read weak may be their lines."""
        assert self.said(0.88, 0.88, 0.88, kind=kind) == []

    def test_what_a_mild_drift_of_three_lamps_does_is_no_weak_eighth(self):
        """A lamp moves by 2 mired itself, of some 15 that ⅛ moves it; beside ½ that is little."""
        assert self.said(0.88, 0.88, 0.88, gels=["CTB 1/8"]) == []
        assert self.said(0.92, 0.92, 0.92, gels=["CTB 1/4"]) == []
        assert self.said(0.88, 0.88, 0.88, gels=["CTB 1/2"]) != []

    def test_of_a_family_those_are_named_that_were_read(self):
        """A family known as the trade reckons counts as weak altogether; who read ½ reads ½."""
        generic = [row.model_copy(update={"known": Known.GENERIC, "percent": 12.0}) for row in SHIPPED]
        assert self.said(0.88, 0.88, 0.88, table=generic, gels=["CTB 1/2"])[0].names == ("CTB 1/2",)

    def test_sources_are_counted_that_had_a_gel_that_is_named(self):
        """Full CTB on a third lamp says that its family is weak, and nothing of the sheets of ½."""
        generic = [row.model_copy(update={"known": Known.GENERIC, "percent": 12.0}) for row in SHIPPED]
        [one] = self.said(0.88, 0.88, 0.88, table=generic, gels=["CTB 1/2", "CTB full"])
        assert (one.names, one.sources) == (("CTB 1/2",), 2)
        [one] = self.said(0.88, 0.88, table=generic, gels=["CTB 1/2", "CTB full"])
        assert (set(one.names), one.sources) == ({"CTB 1/2", "CTB full"}, 2)

    def test_a_strong_one_too(self):
        [one] = self.said(1.08, 1.08)
        assert one.percent == pytest.approx(8, abs=3)

    def test_one_source_may_be_the_lamp(self):
        assert self.said(0.9) == []

    def test_a_gel_that_is_as_its_label_says_is_not_named(self):
        assert self.said(1.0, 1.0, 1.0) == []

    def test_sources_that_do_not_agree_name_nothing(self):
        assert self.said(0.92, 1.08) == []

    def test_an_exact_table_names_nothing(self):
        rows = [row.model_copy(update={"percent": 0.0}) for row in SHIPPED]
        assert self.said(0.92, 0.92, 0.92, table=rows) == []
