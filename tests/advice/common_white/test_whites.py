"""Which white all go to: every white's cost against a plain loop, the three best, and what counts."""

import numpy as np
import pytest

from advisor.advice.common_white import find as whites_module
from advisor.advice.common_white import wording as say
from advisor.advice.common_white.find import Stopped, common_whites
from advisor.advice.common_white.grid import distinct, few_enough, grid, least_costs
from advisor.advice.common_white.say import without_say
from advisor.advice.cost.counted import dear
from advisor.advice.ranking.candidates import choice_of
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import choice_on
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.advice.wording.ladder import TRADE
from advisor.colour.observer.chromaticity import delta_uv_prime
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import (
    Limits,
    NoGel,
    Opening,
    Refused,
    Role,
    Stage,
    Target,
    WantedOffset,
    Work,
)
from advisor.model.sets.phrases import white as named
from advisor.sample import sample_set
from tests.advice.exhaustive import costs, every_stack, places_of
from tests.advice.expected import expected_loss, steps_of_uv
from tests.advice.green_ceiling import KEY, ROWS, TUBES, TWO
from tests.advice.large import family_table
from tests.advice.rows import nominal, source
from tests.advice.searching import reference_of

SHIPPED = shipped_gels().rows


SOURCES = [
    source("Window", "daylight", 6800.0, 0.004),
    source("Panel", "led-mix", 5200.0, -0.006),
    source("Tubes", "fluorescent", 4180.0, 0.009, tolerance_steps=1.0),
    source("Thing", "unknown", 3900.0, 0.003, keep=["CTO 1/8"]),
    source("Lamp", "tungsten", 2800.0, 0.0),
]


@pytest.mark.parametrize("limits", [Limits(max_layers=2), Limits(max_layers=2, max_stops=0.5)])
@pytest.mark.parametrize("head", SOURCES, ids=lambda head: head.name)
def test_every_white_costs_what_a_plain_loop_over_all_stacks_says(head, limits):
    gel_arrays, whites = gel_arrays_of(tuple(ROWS)), grid()
    bare = prepare(head, gel_arrays, white_of(Target(cct=5600), []))
    some = np.arange(0, len(whites.cct), 61)
    found = least_costs(bare, whites.uv[some], choice_of(bare, limits, gel_arrays), limits, gel_arrays)
    anew = reference_of(bare, gel_arrays, ROWS, limits.for_source(head))
    stacks = every_stack(anew.rows, head.keep, limits.max_layers)
    at = places_of(stacks, anew.rows)
    filters, layers = anew.product(at), np.array([len(stack) for stack in stacks])
    places, lost = anew.places(filters)
    mean = np.einsum("kmc,k->mc", places, anew.shares)
    spread = np.einsum("kmi,kmj,k->mij", places - mean, places - mean, anew.shares)
    covariance = anew.covariance(at, filters, mean) + spread
    allowed = np.ones(len(stacks), dtype=bool) if limits.max_stops is None else lost <= limits.max_stops
    allowed[0] = True
    for white, least in zip(whites.uv[some], found, strict=True):
        away = (mean + anew.wanted - steps_of_uv(white))[None]
        every = costs(expected_loss(away, np.ones(1), covariance, anew.tolerance), lost, layers)
        assert least == pytest.approx(every[allowed].min(), rel=2e-4)


class TestTheThree:
    def test_a_green_ceiling_goes_green_and_the_camera_takes_it_out(self, ceiling):
        best = ceiling.best[0]
        assert best.target.tint >= 10
        assert 4000 <= best.target.cct <= 4300
        bare = [part.name for part in best.parts if part.layers == 0]
        assert len(bare) >= 4
        assert all(part.layers <= 1 for part in best.parts if part.name != "Key")
        assert "Key" not in bare
        key = next(part for part in best.parts if part.name == "Key")
        assert any(gel.startswith("Plus green") for gel in key.stack.gels)
        assert not best.off
        assert best.sheets <= ceiling.present.sheets - 15
        assert say.headline(ceiling).startswith("Go to 4\N{NARROW NO-BREAK SPACE}1")
        assert "CC of green: " in say.headline(ceiling)
        assert "Everything goes green and the camera takes it out." in say.caveat(best.target, TRADE)

    def test_what_is_shown_costs_about_what_the_grid_says(self, ceiling, two):
        """The grid takes each source's spectra and all that is uncertain for one normal scatter."""
        for whites in (ceiling, two):
            for option in whites.best:
                same = [whites.grid.target(i) == option.target for i in range(len(whites.costs))]
                there = whites.costs[same.index(True)]
                assert option.value == pytest.approx(there, abs=0.05 * len(option.parts))

    def test_no_white_of_the_grid_is_cheaper_than_the_first(self, ceiling, two):
        for whites in (ceiling, two):
            assert whites.best[0].value <= whites.costs.min() + 0.02
            assert [o.value for o in whites.best] == sorted(o.value for o in whites.best)

    def test_they_are_further_apart_than_the_tolerance(self, ceiling):
        assert len(ceiling.best) == 3
        for i, a in enumerate(ceiling.best):
            for b in ceiling.best[:i]:
                assert delta_uv_prime(a.white.uv, b.white.uv) > 3.0 * 0.0011

    def test_each_is_the_cheapest_near_it(self):
        uv = np.array([[0.2 + 0.0005 * i, 0.3] for i in range(9)])
        values = np.array([5.0, 4.0, 3.0, 2.0, 9.0, 9.0, 9.0, 4.0, np.inf])
        assert distinct(values, uv, 1.0, 3) == [3, 7]
        assert distinct(values, uv, 1.0, 1) == [3]
        assert distinct(np.zeros(9), uv, 1.0, 3) == [0, 3, 6]  # 2.2 = 2 × 1.1 places, and equals stand apart

    def test_the_plan_shown_is_the_plan_that_follows(self, two):
        again = common_whites(TWO, two.best[0].target, Limits(), ROWS)
        assert [p.stack for p in again.present.parts] == [p.stack for p in two.best[0].parts]
        assert again.advised is None
        assert say.headline(again) == f"Stay at {named(two.best[0].target)}"


@pytest.mark.parametrize(("tolerance", "apart"), [(0.5, 3.0), (3.0, 3.0), (5.0, 5.0), (20.0, 10.0)])
def test_whites_are_told_apart_by_the_tolerance_but_by_no_less_than_3_and_no_more_than_10_steps(
    tolerance, apart, monkeypatch
):
    asked = []
    monkeypatch.setattr(whites_module, "distinct", lambda *given: asked.append(given[2:]) or distinct(*given))
    common_whites(TWO[:1], Target(cct=5600), Limits(tolerance_steps=tolerance, max_layers=1), ROWS)
    assert set(asked) == {(apart, 3)}


class TestWhatCounts:
    def test_a_source_that_is_left_counts_nothing(self, two):
        left = source("Sign", "sodium", 2100.0, 0.0, aim=WantedOffset(leave=True))
        whites = common_whites([*TWO, left], Target(cct=5600), Limits(), ROWS)
        assert np.array_equal(whites.costs, two.costs)
        assert [part.name for part in whites.best[0].parts] == ["Lamp", "Panel"]

    def test_a_source_of_which_nothing_can_be_said_is_named(self, two):
        lost = source("Lost", "tungsten", 3200.0, 0.0, keep=["Sunset"])
        whites = common_whites([*TWO, lost], Target(cct=5600), Limits(), ROWS)
        assert whites.left_out == ("Lost",)
        assert np.array_equal(whites.costs, two.costs)
        assert say.scope(whites)[-1] == "Not counted, since nobody has read them yet: Lost."

    def test_what_hangs_now_does_not_decide_for_another_white(self, two):
        hung = [s.model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTO full"])}) for s in TWO]
        whites = common_whites(hung, Target(cct=5600), Limits(), ROWS, tints=True)
        assert [o.parts for o in whites.best] == [o.parts for o in two.best]

    def test_an_aim_that_leads_too_far_from_white_rules_a_white_out(self):
        far = [source("Lamp", "tungsten", 3200.0, 0.0, aim=WantedOffset(mired=-200.0))]
        whites = common_whites(far, Target(cct=3200, locus="planckian"), Limits(), ROWS)
        ruled_out = (whites.grid.mired < 1e6 / 25000 + 200.0) | ~whites.grid.real
        assert np.array_equal(~np.isfinite(whites.costs), ruled_out)
        assert ruled_out.any()
        assert not ruled_out.all()

    def test_a_target_that_is_not_there_leaves_the_others(self):
        whites = common_whites(TWO, Target(source="Gone"), Limits(), ROWS)
        assert whites.present is None
        assert whites.problems[0].where == "target.source"
        assert len(whites.best) == 3
        assert say.headline(whites) == f"Go to {named(whites.best[0].target)}"

    def test_a_shared_stock_is_shared_in_what_is_shown(self):
        rows = nominal(stock=1)
        twins = [source(f"Tube {i}", "fluorescent", 4100.0, 0.012) for i in range(3)]
        key = source("Key", "daylight", 6500.0, 0.003)
        whites = common_whites([*twins, key], Target(cct=5600), Limits(share_stock=True), rows)
        for option in whites.best:
            hung = [gel for part in option.parts for gel in part.stack.gels]
            assert len(hung) == len(set(hung))

    def test_a_sheet_for_every_opening(self):
        row = source("Row", "tungsten", 3200.0, 0.0, openings=[Opening(width=1, height=2, count=3)] * 2)
        whites = common_whites([row], Target(cct=5600), Limits(), ROWS)
        assert whites.present.layers > 0
        assert whites.present.sheets == 6 * whites.present.layers
        assert whites.best[0].sheets == 0

    def test_a_source_that_no_white_brings_in_does_not_decide(self, two):
        street = source("Street lamp", "sodium", 1950.0, -0.002)
        sign = source("Sign", "led-mix", 15000.0, -0.04)
        limits = Limits(max_layers=1, max_stops=1.0)
        alone = common_whites(TWO, Target(cct=5600), limits, ROWS)
        whites = common_whites([*TWO, sign], Target(cct=5600), limits, ROWS)
        assert whites.unweighed == ("Sign",)
        assert say.unweighed(whites) == "Sign is out of reach of all. It was not weighed."
        assert say.totals(whites.best[0], whites.unweighed).endswith("lost over all sources but Sign")
        assert [o.target for o in whites.best] == [o.target for o in alone.best]
        assert np.array_equal(whites.costs, alone.costs)
        matched = common_whites([*TWO, street, sign], Target(source="Sign"), limits, ROWS)
        assert "Sign" not in matched.unweighed, "what is to be matched is weighed"
        assert say.unweighed(two) == ""

    def test_one_that_is_in_reach_at_the_present_white_is_weighed(self):
        """Off at every other white that is shown, and there it could be had."""
        sign = source("Sign", "led-mix", 15000.0, -0.04)
        there = Target(cct=15000, duv_offset=-0.04)
        whites = common_whites([*TWO, sign], there, Limits(max_layers=1, max_stops=1.0), ROWS)
        assert [part.out for part in whites.present.parts] == [True, True, False]
        assert all(option.parts[2].out for option in whites.best)
        assert whites.unweighed == ()

    def test_only_those_that_stay_out_are_left_unweighed(self):
        """Weighed, the sign draws the whites away from the candle too; without the sign the candle is in."""
        sign, candle = source("Sign", "led-mix", 15000.0, -0.04), source("Candle", "led-mix", 2300.0, 0.0)
        limits, warm = Limits(max_layers=1, max_stops=1.0), Target(cct=3200, locus="planckian")
        whites = common_whites([TWO[0], sign, candle], warm, limits, ROWS)
        assert whites.unweighed == ("Sign",)
        assert not all(part.out for option in whites.best for part in option.parts if part.name == "Candle")

    def test_a_street_lamp_does_not_draw_all_others_after_it(self):
        """Weighed, it led to whites of 2 900 and 3 300 K, each of which left it off all the same."""
        made = sample_set()
        street = source("Street lamp", "sodium", 2040.0, -0.001)
        without = common_whites(made.sources, made.target, made.limits, SHIPPED)
        whites = common_whites([*made.sources, street], made.target, made.limits, SHIPPED)
        assert whites.unweighed == ("Street lamp",)
        assert [o.target for o in whites.best] == [o.target for o in without.best]

    def test_a_window_is_dear_by_its_glass(self):
        """A layer on 6 m² of glass is 9.28 sheets of 0.53 × 1.22 m: 8.28 layers more."""
        glass = source("Window", "daylight", 6800.0, 0.004, openings=[Opening(width=2, height=3)])
        assert dear(glass) == pytest.approx(8.28, abs=0.01)
        assert (
            dear(source("Head", "tungsten", 3200.0, openings=[Opening(width=0.3, height=0.3, count=2)]))
            == 1.0
        )
        assert dear(TWO[0]) == 0.0
        lamp = source("Lamp", "tungsten", 3200.0, 0.0)
        of_glass = common_whites([glass, lamp], Target(cct=5000), Limits(), ROWS).best[0]
        assert [p.layers for p in of_glass.parts if p.name == "Window"] == [0]

    def test_what_may_not_be_touched_and_bulbs_to_change_do_not_pull(self):
        window = source("Window", "daylight", 6000.0, 0.003)
        bulb = source("Bulb", "tungsten", 2700.0, 0.0, role=Role.PRACTICAL)
        fixed = source("Fixed", "led-white", 3000.0, 0.0, no_gel=NoGel.REACH)
        target = Target(cct=5600)
        assert without_say([window, bulb, fixed], target, Limits(), ROWS) == ("Bulb", "Fixed")
        assert without_say([bulb, fixed], target, Limits(), ROWS) == ()
        assert without_say([window, fixed], Target(source="Fixed"), Limits(), ROWS) == ()
        alone = common_whites([window], target, Limits(), ROWS)
        whites = common_whites([window, bulb, fixed], target, Limits(), ROWS)
        assert whites.no_pull == ("Bulb", "Fixed")
        assert np.array_equal(whites.costs, alone.costs)
        assert "Bulb has no say: another bulb is better than gel. Fixed has no say:" in say.unweighed(whites)

    def test_a_window_without_gel_that_drifted_off_is_not_left_further_off(self):
        """It was near 5 600 K and reads 6 190 K: staying keeps it about 8 steps off, 5 000 K 17."""
        lamp = source("Key", "daylight", 5600.0, 0.003)
        window = source("Window", "daylight", 6190.0, 0.003, no_gel=NoGel.OTHER)
        whites = common_whites([lamp, window], Target(cct=5600), Limits(), ROWS)
        assert [part.name for part in whites.present.off] == ["Window"]
        [follows] = [option for option in whites.offered if option.follows]
        assert follows.follows == "Window" and not follows.off and follows.target.tint == 0
        assert abs(follows.target.cct - 6190) < 400
        assert follows.sheets <= whites.present.sheets + 2
        assert say.saves(follows, whites.present)[0] == "no source left off"
        assert whites.advised in (None, follows)
        near = source("Window", "daylight", 5600.0, 0.003, no_gel=NoGel.OTHER)
        in_already = common_whites([lamp, near], Target(cct=5600), Limits(), ROWS)
        assert not any(option.follows for option in in_already.best)

    def test_tints_come_below_unless_they_are_asked_for(self, ceiling):
        whites = common_whites([*TUBES, KEY], Target(cct=5600), Limits(), ROWS)
        tints = [option.target.tint for option in whites.best]
        assert tints[0] == 0 and tints[-1] != 0 and len(tints) == 3
        assert ceiling.best[0].target.tint != 0
        already = common_whites([*TUBES, KEY], Target(cct=5600, tint=4), Limits(), ROWS)
        assert already.best[0].target.tint != 0

    def test_the_best_white_without_a_tint_is_always_shown(self, ceiling, two):
        for whites in (ceiling, two):
            plain = whites.grid.tint == 0.0
            least = whites.costs[plain].min()
            assert any(o.target.tint == 0 and o.value <= least + 0.02 for o in whites.best)
            assert len(whites.best) == 3

    def test_without_a_source_there_is_nothing_to_compare(self):
        whites = common_whites([], Target(cct=5600), Limits(), ROWS)
        assert (whites.best, whites.present, whites.advised) == ((), None, None)
        assert say.headline(whites) == "Nothing to compare whites for yet"

    def test_a_family_that_is_not_there_is_refused_at_its_place(self):
        with pytest.raises(Refused) as no:
            common_whites(TWO, Target(cct=5600), Limits(exclude_families=["Sunset"]), ROWS)
        assert no.value.problems[0].where == "limits.exclude_families[0]"

    def test_very_many_gels_are_thinned_for_the_grid_and_it_says_so(self):
        rows = family_table(np.random.default_rng(3), 200)
        whites = common_whites(TWO[:1], Target(cct=5600), Limits(), rows)
        assert whites.gone_through == 24  # (24 + 3 over 3) = 2 925 stacks, the most below 3 000
        assert f"found with {whites.gone_through} of them" in say.scope(whites)[2]
        assert whites.best[0].value <= whites.costs.min() + 0.02  # all gels do no worse than some

    def test_what_is_thinned_still_does_all_that_the_table_does(self):
        gel_arrays = gel_arrays_of(tuple(family_table(np.random.default_rng(3), 200)))
        choice = choice_on(gel_arrays, (), 3, gel_arrays.ranked, dimmed=False)
        few = few_enough(choice, gel_arrays)
        assert few.count <= 3000 < 11_000 < choice.count
        assert set(few.gels) < set(choice.gels)
        for shift in (gel_arrays.mired, gel_arrays.cc):
            taken, full = np.sort(shift[list(few.gels)]), shift.max()
            assert taken[-1] > 0.95 * full
            assert np.diff(taken).max() < 0.3 * full
        assert few_enough(few, gel_arrays) == few


class TestOnTheWay:
    def test_it_says_how_far_it_is(self):
        told = []
        common_whites(TWO, Target(cct=5600), Limits(), ROWS, progress=told.append)
        assert told == sorted(told)
        assert (told[0], told[-1]) == (0.0, 1.0)
        # Two sources; then the present white and three others, at most three times: 14 steps in all.
        assert {round(14 * share, 6) for share in told} >= {2.0, 3.0, 4.0, 5.0}
        assert len(told) > len(TWO) + 3

    @pytest.mark.parametrize("after", [0, 1, 4])
    def test_it_stops_when_told(self, after):
        told = []
        with pytest.raises(Stopped):
            common_whites(
                TWO, Target(cct=5600), Limits(), ROWS, told.append, stopped=lambda: len(told) >= after
            )
        assert len(told) == after
