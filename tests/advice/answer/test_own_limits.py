"""What may hang on one source, by limits of its own in place of its set's: wherever stacks are chosen."""

import numpy as np
import pytest

from advisor.advice.answer.advise import advise, predict
from advisor.advice.common_white.find import common_whites
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand
from advisor.advice.ranking.candidates import choice_of
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import (
    Limits,
    NoGel,
    Predicted,
    PredictionRequest,
    Reach,
    Reading,
    Refused,
    Role,
    Setting,
    Source,
    Stage,
    Target,
    Work,
)
from tests.advice.large import mixed_table
from tests.advice.rows import asking, neutral, nominal, source

ROWS = [*nominal(), *neutral()]
LIMITS = {"max_layers": 3}


def lamp(**own):
    return source("Lamp", "tungsten", 2800.0, 0.002, **own)


def answer(*sources, rows=ROWS, **limits):
    return advise(asking(*sources, **{**LIMITS, **limits}), rows).sources


def hung(found):
    return {gel for stack in found.stacks for gel in stack.gels}


def most(found):
    return max(stack.layers for stack in found.stacks)


class TestRanking:
    def test_its_own_limit_of_layers_is_in_place_of_the_sets(self):
        warm = {"only_gels": ["CTB 1/8"]}  # of which it takes more than four
        fewer, as_all, more = answer(lamp(max_layers=1, **warm), lamp(**warm), lamp(max_layers=4, **warm))
        assert (most(fewer), most(as_all), most(more)) == (1, 3, 4)

    def test_what_is_kept_counts_as_layers(self):
        [found] = answer(lamp(max_layers=1, keep=["Diffusion 1/2"]))
        assert [stack.gels for stack in found.stacks] == [["Diffusion 1/2"]]

    @pytest.mark.parametrize("why", NoGel)
    def test_where_no_gel_may_hang_it_stays_as_it_is(self, why):
        bare, kept = answer(lamp(no_gel=why, max_layers=2), lamp(no_gel=why, keep=["ND 0.3"]))
        assert [stack.gels for stack in bare.stacks] == [[]]
        assert [stack.gels for stack in kept.stacks] == [["ND 0.3"]]

    def test_only_what_is_cut_for_it_hangs_whatever_is_cut_for_the_others(self):
        own, other = answer(lamp(only_gels=["CTB 1/2"]), lamp(), only_gels=["CTB full", "Plus green 1/8"])
        assert hung(own) == {"CTB 1/2"} and hung(other) <= {"CTB full", "Plus green 1/8"} != set()
        [none] = answer(lamp(only_gels=[]))
        assert hung(none) == set()

    def test_families_that_the_set_leaves_out_stay_out(self):
        [found] = answer(lamp(only_gels=["CTB 1/2", "Plus green 1/8"]), exclude_families=["CTB"])
        assert hung(found) <= {"Plus green 1/8"}

    def test_the_others_are_ranked_as_without_it(self):
        alone, among = answer(source(cct=6500.0)), answer(lamp(no_gel="heat"), source(cct=6500.0))
        assert among[1] == alone[0]

    def test_a_large_table_is_searched_within_them_too(self):
        rows = mixed_table(np.random.default_rng(7), 120)
        named = [row.name for row in rows[:4]]
        one, cut = answer(lamp(max_layers=1), lamp(only_gels=named), rows=rows)
        assert most(one) == 1 and hung(cut) <= set(named)

    def test_a_gel_that_is_not_there_is_refused_at_its_place(self):
        with pytest.raises(Refused) as no:
            answer(source(), lamp(only_gels=["CTB 1/2", "Straw full"]))
        assert no.value.problems[0].where == "sources[1].only_gels[1]"

    def test_a_stack_built_by_hand_is_predicted_all_the_same(self):
        request = PredictionRequest(source=lamp(no_gel="heat"), target=Target(cct=5600), stack=["CTB full"])
        assert predict(request, ROWS).gels == ["CTB full"]


class TestElsewhere:
    def test_one_stock_is_shared_within_them(self):
        rows = [
            row.model_copy(update={"stock": 1})
            if row.name == "CTB full"
            else row.model_copy(update={"stock": 0})
            for row in nominal()
        ]
        first, second = answer(
            lamp(no_gel="reach"), source("Other", "tungsten", 3200.0, 0.0), rows=rows, share_stock=True
        )
        assert first.allocated.stack.gels == [] and second.allocated.stack.gels == ["CTB full"]
        scarce, other = answer(
            source("One", "tungsten", 3200.0, 0.0, only_gels=["CTB 1/2"]),
            source("Other", "tungsten", 3200.0, 0.0),
            rows=[row.model_copy(update={"stock": 1 if row.family == "CTB" else 0}) for row in nominal()],
            share_stock=True,
        )
        assert set(scarce.allocated.stack.gels) <= {"CTB 1/2"} and other.allocated.stack.gels

    def test_nd_for_the_keys_sake_does_not_hang_where_nothing_may(self):
        key = source("Key", cct=5600.0, duv=0.0033, lux=1000.0, role=Role.KEY)
        window = source("Window", lux=8000.0, over_key=1.0, no_gel="reach")
        _, found = answer(key, window)
        assert found.least_stops == pytest.approx(2.0, abs=0.1) and hung(found) == set()
        _, free = answer(key, window.model_copy(update={"no_gel": None}))
        assert any(gel.startswith("ND") for gel in hung(free))

    def test_dials_turn_where_no_gel_may_hang(self):
        reach = Reach(cct_from=4000, cct_to=5600, cct_step=100)
        read = [Reading(cct=cct, duv=0.0, dial=Setting(cct=cct)) for cct in (4000, 5600)]
        head = Source(name="Panel", kind="led-white", reading=read[1], readings=read[:1], reach=reach)
        for own, gels in (({"no_gel": NoGel.HEAT}, set()), ({"only_gels": ["CTO 1/2"]}, {"CTO 1/2"})):
            [found] = advise(
                asking(head.model_copy(update=own), target=Target(cct=3200, locus="planckian")), ROWS
            ).sources
            assert hung(found) <= gels and found.stacks[0].dial.cct < 5600

    def test_which_white_weighs_it_within_them(self):
        target, limits = Target(cct=5600), Limits()
        gel_arrays, white = gel_arrays_of(tuple(ROWS)), white_of(target, [])
        bare = prepare(lamp(no_gel="heat"), gel_arrays, white)
        assert choice_of(bare, limits, gel_arrays).free == 0
        two = [lamp(no_gel="heat"), source("Panel", "led-white", 4300.0, 0.006)]
        found = common_whites(two, target, limits, ROWS)
        for option in found.best:
            assert option.parts[0].stack.gels == []

    def test_what_is_read_behind_gels_is_swapped_within_them(self):
        head = source("Lamp", "tungsten", 3200.0, 0.0, only_gels=["CTB 1/2", "CTB 1/4"])
        made = by_hand(make_plan([head], Target(cct=5600), Limits(), ROWS), 0, ["CTB 1/2"])
        work = Work(
            stage=Stage.HUNG,
            gels=["CTB 1/2"],
            predicted=Predicted(cct=made.after.cct, duv=made.after.duv, uncertainty_steps=1.0),
            read_bare=head.reading,
            read_behind=Reading(cct=3700, duv=0.004),
            steps_off=made.miss.steps,
        )
        plan = make_plan([head.model_copy(update={"work": work})], Target(cct=5600), Limits(), ROWS)
        assert set(plan.alone.swap.on) <= {"CTB 1/2", "CTB 1/4"} != set()


def test_limits_for_a_source_are_its_own_before_the_sets():
    limits = Limits(tolerance_steps=2, max_layers=2, max_stops=1, only_gels=["CTB full"], share_stock=True)
    plain, own = limits.for_source(source()), limits.for_source(source(max_layers=4, only_gels=["CTO 1/4"]))
    assert plain == limits
    assert (own.max_layers, own.only_gels) == (4, ["CTO 1/4"])
    assert (own.tolerance_steps, own.max_stops, own.share_stock) == (2, 1, True)
    assert limits.for_source(source(no_gel="heat", max_layers=4)).max_layers == 0
    assert limits.for_source(source(only_gels=[])).only_gels == []
