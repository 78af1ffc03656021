"""The pull list of invented sets: who takes what, what is short, and what stays within the stock."""

from collections import Counter
from functools import cache

import pytest
from pydantic import ValidationError

from advisor.advice.plan.make import make_plan
from advisor.advice.pull_list.build import pull_list
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Kind, Limits, Opening, Reading, Source, Stage, Target, WantedOffset, Work
from advisor.model.gels.formats import EXAMPLE_SIZES, ComesAs, Format, FormatTable
from tests.advice.lamps import hung, lamp, planckian, read

HALF, FULL, ROLL, WIDE = EXAMPLE_SIZES.rows
PANEL = Opening(width=0.5, height=0.6)


@cache
def shipped():
    return shipped_gels().rows


def gel_rows(**stock):
    """The shipped gels, with a stock of some: CTB_full=1."""
    named = {name.replace("1_2", "1/2").replace("_", " "): n for name, n in stock.items()}
    return [g.model_copy(update={"stock": named.get(g.name, g.stock)}) for g in shipped()]


def tungsten(name="Backlight", *openings, hung=False, work=None, **more):
    work = Work(stage=Stage.HUNG, gels=["CTB full"]) if hung else work
    reading = Reading(cct=3200, duv=0)
    return Source(name=name, kind=Kind.TUNGSTEN, reading=reading, openings=list(openings), work=work, **more)


def plan(*sources, gels=None, **limits):
    return make_plan(sources, Target(cct=5600), Limits(max_layers=1, **limits), gels or gel_rows())


def pulled(*sources, gels=None, formats=EXAMPLE_SIZES.rows, spare=0.0, cut_from=None):
    gels = gels or gel_rows()
    return pull_list([plan(*sources, gels=gels)], gels, formats, spare_percent=spare, cut_from=cut_from)


def test_a_gel_is_counted_over_all_who_take_it():
    pulls = pulled(tungsten("A", PANEL), tungsten("B", PANEL.model_copy(update={"count": 3})), cut_from=HALF)
    [gel] = pulls.gels
    assert gel.name == "CTB full"
    assert [(u.source, u.layers, u.cuts) for u in gel.uses] == [("A", 1, 1), ("B", 1, 3)]
    assert (gel.cuts, gel.still.units, pulls.sheets, pulls.roll) == (4, 4, 4, 0)


def test_what_is_fixed_on_a_head_hangs_already_and_a_gel_that_hangs_twice_has_two_layers():
    pulls = pulled(tungsten("A", PANEL, keep=["Diffusion full", "Diffusion full"]), cut_from=HALF)
    fixed = next(gel for gel in pulls.gels if gel.name == "Diffusion full")
    assert [(use.layers, use.hangs) for use in fixed.uses] == [(2, True)]
    assert (fixed.hanging, fixed.to_cut, fixed.still.units) == (2, 0, 0)
    assert fixed in pulls.hanging and fixed not in pulls.still


def test_a_second_layer_of_what_is_fixed_is_cut():
    decided = Work(stage=Stage.PLANNED, gels=["CTB 1/2", "CTB 1/2"])
    [gel] = pulled(tungsten("A", PANEL, keep=["CTB 1/2"], work=decided), cut_from=HALF).gels
    assert sorted((use.layers, use.hangs) for use in gel.uses) == [(1, False), (1, True)]
    assert gel.to_cut == 1


def test_a_source_whose_size_nobody_gave_takes_a_sheet_a_layer():
    pulls = pulled(tungsten("A"), tungsten("B", PANEL), cut_from=FULL)
    assert pulls.gels[0].still.units == 2
    assert [use.source for use in pulls.unsized] == ["A"]


def test_the_gels_stand_in_the_tables_order():
    pulls = pulled(tungsten("A", keep=["Diffusion 1/2", "ND 0.3"]), tungsten("B"))
    assert [gel.name for gel in pulls.gels] == ["CTB full", "ND 0.3", "Diffusion 1/2"]


def test_a_bare_source_and_one_without_a_plan_take_nothing():
    spoilt = Source(name="B", reading=Reading(xy=(0.7, 0.29)))
    pulls = pulled(tungsten("A", aim=WantedOffset(leave=True)), spoilt)
    assert pulls.gels == ()
    assert [w.source for w in pulls.without] == ["B"]
    assert (pulls.sheets, pulls.roll, pulls.still, pulls.short) == (0, 0, (), ())


def test_spare_is_added_up_to_a_whole_sheet_a_gel():
    [gel] = pulled(tungsten("A", PANEL), spare=10, cut_from=HALF).gels
    assert (gel.needed.units, gel.total.units, gel.still.units, gel.spare.units) == (1, 2, 2, 1)


class TestHung:
    def test_what_hangs_counts_but_is_not_left_to_be_cut(self):
        [gel] = pulled(tungsten("A", PANEL, hung=True), tungsten("B", PANEL), cut_from=HALF).gels
        assert (gel.needed.units, gel.still.units) == (2, 1)
        assert (gel.cuts, gel.to_cut) == (2, 1)
        assert [use.hangs for use in gel.uses] == [True, False]

    def test_where_all_hangs_nothing_is_short(self):
        pulls = pulled(tungsten("A", PANEL, hung=True), gels=gel_rows(CTB_full=0), spare=50, cut_from=HALF)
        [gel] = pulls.gels
        assert (gel.short, gel.spare_short, gel.still.units) == (0, 0, 0)
        assert pulls.still == ()

    def test_it_took_its_sheets_from_the_stock(self):
        sources = [tungsten("A", PANEL, hung=True), tungsten("B", PANEL)]
        [gel] = pulled(*sources, gels=gel_rows(CTB_full=1), cut_from=HALF).gels
        assert (gel.short, len(gel.instead)) == (1, 1)
        assert gel.instead[0].source == "B"

    @pytest.mark.parametrize("stock", [None, 1])
    def test_a_swap_that_is_due_is_pulled_and_what_comes_off_is_on_the_truck_again(self, stock):
        """A lamp of 3 200 K behind half a CTB reads as was predicted, far too warm for 5 600 K."""
        true, half = planckian(3200), ["CTB 1/2"]
        one_layer = Limits(max_layers=1)
        source = hung(lamp(true, openings=[PANEL]), half, read(true, half), limits=one_layer)
        pulls = pulled(source, gels=gel_rows(CTB_full=stock, CTB_1_2=1), cut_from=HALF)
        [gel] = pulls.gels
        assert (gel.name, gel.to_cut, gel.still.units) == ("CTB full", 1, 1)
        assert [(use.hangs, use.swapped) for use in gel.uses] == [(False, ("CTB 1/2",))]
        assert (gel.short, gel.instead) == (0, ())

    def test_what_only_comes_off_is_said(self):
        """A lamp that is on the target already, behind half a CTB that was hung too many."""
        true, half = planckian(5600), ["CTB 1/2"]
        source = hung(lamp(true), half, read(true, half), limits=Limits(max_layers=1))
        made = make_plan([source], Target(cct=5600, locus="planckian"), Limits(max_layers=1), gel_rows())
        pulls = pull_list([made], gel_rows(), EXAMPLE_SIZES.rows)
        assert pulls.gels == ()
        assert [(off.source, off.gels) for off in pulls.off] == [("Lamp", ("CTB 1/2",))]

    def test_a_swap_that_takes_what_is_short_was_not_looked_at(self):
        true, half = planckian(3200), ["CTB 1/2"]
        one = Limits(max_layers=1)
        two = [hung(lamp(true), half, read(true, half), limits=one) for _ in range(2)]
        named = [source.model_copy(update={"name": name}) for source, name in zip(two, "AB", strict=True)]
        [gel] = pulled(*named, gels=gel_rows(CTB_full=1), cut_from=HALF).gels
        assert (gel.short, gel.instead, gel.alternatives_sought) == (1, (), False)

    def test_what_hung_and_left_the_table_does_not_hang_as_something_else(self):
        source = tungsten("A", PANEL).model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTB 1/2"])})
        gels = [g for g in gel_rows() if g.name != "CTB 1/2"]
        [gel] = pulled(source, gels=gels, cut_from=HALF).gels
        assert [use.hangs for use in gel.uses] == [False]

    def test_what_was_planned_for_another_white_is_named(self):
        work = Work(stage=Stage.PLANNED, gels=["CTO full"], steps_off=0.5)
        source = tungsten("A").model_copy(update={"work": work})
        pulls = pulled(source, tungsten("B"))
        assert [w.source for w in pulls.outdated] == ["A"]

    def test_what_is_added_on_top_of_what_hangs_is_a_cut_of_its_own(self):
        true, green = planckian(3200), ["Plus green 1/8"]
        two_layers = Limits(max_layers=2)
        source = hung(lamp(true, openings=[PANEL]), green, read(true, green), limits=two_layers)
        made = make_plan([source], Target(cct=5600), two_layers, gel_rows())
        swap, pulls = made.heads[0].swap, pull_list([made], gel_rows(), EXAMPLE_SIZES.rows)
        taken = Counter()
        for gel in pulls.gels:
            for use in gel.uses:
                assert (use.swapped is None) == use.hangs
                taken[gel.name, use.hangs] += use.layers
        hanging = Counter(green) - Counter(swap.off)
        assert taken == {
            **{(name, True): n for name, n in hanging.items()},
            **{(name, False): n for name, n in Counter(swap.on).items()},
        }


class TestStock:
    @pytest.mark.parametrize(
        ("stock", "short", "spare_short"),
        [(None, 0, 0), (6, 0, 0), (5, 0, 1), (4, 0, 2), (3, 1, 2), (0, 4, 2)],
    )
    def test_what_is_short_and_what_only_the_spare_lacks(self, stock, short, spare_short):
        four = PANEL.model_copy(update={"count": 4})
        # The plan itself looks at the stock as well, one sheet a layer: it is made with plenty.
        made = plan(tungsten("A", four))
        pulls = pull_list([made], gel_rows(CTB_full=stock), [HALF], spare_percent=40)
        [gel] = pulls.gels
        assert (gel.short, gel.spare_short) == (short, spare_short)
        assert pulls.short == (pulls.gels if short else ())

    def test_the_alternative_is_the_next_in_the_ranking_that_the_stock_allows(self):
        four = PANEL.model_copy(update={"count": 4})
        made = plan(tungsten("A", four))
        stacks = [s.gels for s in made.heads[0].advice.stacks]
        assert stacks[0] == ["CTB full"]
        runner, third = stacks[1][0], stacks[2]
        stock = {"CTB_full": 3, runner.replace(" ", "_"): 3}
        [gel] = pull_list([made], gel_rows(**stock), [HALF]).gels
        [instead] = gel.instead
        assert (instead.source, instead.stack.gels, instead.frees) == ("A", third, 1)
        assert instead.stack.miss.steps > 0

    def test_it_does_not_take_what_another_source_needs(self):
        made = plan(
            tungsten("A", PANEL), tungsten("B", PANEL, keep=["CTB 1/2"], aim=WantedOffset(leave=True))
        )
        assert made.heads[0].advice.stacks[1].gels == ["CTB 1/2"]
        for stock, expected in ((2, ["CTB 1/2"]), (1, None)):
            pulls = pull_list([made], gel_rows(**{"CTB_full": 0, "CTB_1/2": stock}), [HALF])
            gel = next(g for g in pulls.gels if g.name == "CTB full")
            [instead] = gel.instead
            assert (instead.stack.gels == expected) is (expected is not None)

    def test_one_of_two_may_not_be_enough(self):
        made = plan(tungsten("A", PANEL), tungsten("B", PANEL))
        [gel] = pull_list([made], gel_rows(CTB_full=0), [HALF]).gels
        assert [(i.source, i.frees) for i in gel.instead] == [("A", 1), ("B", 1)]
        assert gel.short == 2

    def test_two_sets_draw_from_one_stock(self):
        one, other = plan(tungsten("A", PANEL)), plan(tungsten("A", PANEL))
        [gel] = pull_list([one, other], gel_rows(CTB_full=1), [HALF]).gels
        assert [(u.plan, u.head) for u in gel.uses] == [(0, 0), (1, 0)]
        assert (gel.still.units, gel.short) == (2, 1)


class TestCutFrom:
    def test_whichever_wastes_least_is_taken(self):
        [gel] = pulled(tungsten("A", Opening(width=2.4, height=1.2))).gels
        assert gel.size == ROLL
        [gel] = pulled(tungsten("A", Opening(width=0.6, height=0.49))).gels
        assert gel.size == HALF

    def test_among_equals_the_one_with_fewer_seams(self):
        # Two sheets are as much as a large one.
        [gel] = pulled(tungsten("A", Opening(width=0.5, height=1.18)), formats=[HALF, FULL]).gels
        assert (gel.size, gel.seams) == (FULL, 0)

    def test_seams_go_before_waste_and_what_has_no_size_decides_nothing(self):
        """Two panes of 1.5 × 2.1 m and eight tubes that nobody measured."""
        panes = Opening(width=1.5, height=2.1, count=2)
        tubes = [tungsten(f"Tube {k}") for k in range(8)]
        window, loose = pulled(tungsten("Window", panes), *tubes).gels
        assert (window.size, window.seams, window.to_cut) == (WIDE, 0, 2)
        assert window.left.length == pytest.approx(4.2)
        assert (loose.name, loose.size, loose.still.units) == (window.name, HALF, 8)
        assert {use.source for use in loose.uses} == {tube.name for tube in tubes}

    def test_as_few_formats_are_fetched_as_can_be(self):
        """The small cut alone would come from a sheet; the roll is fetched anyway."""
        panes = Opening(width=1.5, height=2.1)
        small = tungsten(
            "Small", Opening(width=0.3, height=0.3), keep=["Diffusion 1/2"], aim=WantedOffset(leave=True)
        )
        gels = pulled(tungsten("Window", panes), small).gels
        assert [gel.size for gel in gels] == [WIDE, WIDE]
        assert pulled(small).gels[0].size == HALF

    def test_a_counted_gel_is_cut_from_sheets_as_they_are_counted(self):
        made = plan(tungsten("A", Opening(width=2.4, height=1.2)))
        [gel] = pull_list([made], gel_rows(CTB_full=9), EXAMPLE_SIZES.rows).gels
        assert gel.size.form is ComesAs.SHEET
        [gel] = pull_list([made], gel_rows(CTB_full=9), [ROLL, WIDE]).gels
        assert gel.size.form is ComesAs.ROLL

    @pytest.mark.parametrize(("stock", "short"), [(1, 0), (0, 1)])
    def test_a_roll_is_held_against_a_count_of_sheets_only_where_that_is_none(self, stock, short):
        made = plan(tungsten("A", Opening(width=2.4, height=1.2, count=2)))
        [gel] = pull_list([made], gel_rows(CTB_full=stock), [ROLL], spare_percent=10).gels
        assert (gel.stock, gel.short, gel.spare_short) == (stock, short, 0)

    def test_one_can_be_chosen_for_all(self):
        pulls = pulled(tungsten("A", PANEL), cut_from=WIDE)
        assert pulls.gels[0].size == WIDE
        assert pulls.sheets == 0
        assert pulls.roll == pytest.approx(0.5)

    def test_panels_and_seams_are_counted_over_all_layers(self):
        wide = Opening(width=0.9, height=0.5, count=2)
        sheet = Format(name="Sheet", form=ComesAs.SHEET, width=0.5, length=0.6)
        [gel] = pulled(tungsten("A", wide), cut_from=sheet).gels
        assert gel.panels(wide).count == 2
        assert gel.seams == 2


def test_a_gel_that_has_left_the_table_is_still_pulled():
    made = plan(tungsten("A", PANEL))
    [gel] = pull_list([made], [g for g in gel_rows() if g.name != "CTB full"], [HALF]).gels
    assert (gel.name, gel.stock, gel.short) == ("CTB full", None, 0)


def test_nothing_is_pulled_for_what_gel_cannot_bring_in_unless_somebody_decided_so():
    street = Source(name="Street", kind=Kind.SODIUM, reading=Reading(cct=2040, duv=-0.001))
    pulls = pulled(tungsten("A", PANEL), street)
    assert [w.source for w in pulls.out] == ["Street"]
    assert {use.source for gel in pulls.gels for use in gel.uses} == {"A"}
    decided = street.model_copy(update={"work": Work(stage=Stage.PLANNED, gels=["CTB full"])})
    pulls = pulled(tungsten("A", PANEL), decided)
    assert pulls.out == ()
    assert {use.source for use in pulls.gels[0].uses} == {"A", "Street"}


class TestScrims:
    """They are pulled whole, and counted apart from gel."""

    def pulled(self, *openings, spare=10.0, **stock):
        decided = Work(gels=["CTB full", "Single scrim full", "Single scrim full"])
        lamp = tungsten("A", *openings, work=decided)
        return pulled(lamp, gels=gel_rows(**stock), spare=spare)

    def scrims(self, pulls):
        return next(gel for gel in pulls.gels if gel.name == "Single scrim full")

    def test_one_for_each_opening_and_layer_and_none_spare(self):
        pulls = self.pulled(PANEL.model_copy(update={"count": 3}))
        line = self.scrims(pulls)
        assert (line.size.form, line.still.units, line.spare.units, line.seams) == (ComesAs.PIECE, 6, 0, 0)
        assert pulls.pieces == 6

    def test_they_are_no_gel_to_cover_with(self):
        alone = pulled(tungsten("A", PANEL))
        with_scrims = self.pulled(PANEL, spare=0.0)
        assert with_scrims.area == pytest.approx(alone.area)
        assert with_scrims.covered == pytest.approx(alone.covered)

    def test_nobody_is_asked_for_a_size_for_them(self):
        lamp = tungsten("A", keep=["Single scrim full"], aim=WantedOffset(leave=True))
        assert pulled(lamp).unsized == ()

    def test_the_truck_may_have_too_few(self):
        assert self.scrims(self.pulled(PANEL, **{"Single_scrim_full": 1})).short == 1

    def test_no_size_to_cut_from_is_a_piece(self):
        with pytest.raises(ValidationError, match="not cut from a piece"):
            FormatTable(rows=[Format(name="Odd", form=ComesAs.PIECE, width=0.5, length=0.5)])
