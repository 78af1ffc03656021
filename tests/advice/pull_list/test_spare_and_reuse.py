"""Spare of the whole list, cuts that are used again, and what is off the truck."""

from dataclasses import replace

import pytest

from advisor.advice.pull_list.cutting import GelAmount
from advisor.advice.pull_list.lines import GelPull, GelUse, LooseCut, PullList, Removal
from advisor.advice.pull_list.pulled import key_of, progress
from advisor.advice.pull_list.reuse import cuts_off, with_reused
from advisor.advice.pull_list.spare import with_spare
from advisor.model import Opening
from advisor.model.gels.formats import ComesAs, Format

SHEET = Format(name="Sheet", form=ComesAs.SHEET, width=0.5, length=0.6)
ROLL = Format(name="Roll", form=ComesAs.ROLL, width=1.2, length=7.6)


def use(*openings, head=1, layers=1, hung=False):
    return GelUse(0, head, f"Head {head}", layers, openings, hung)


def line(name, units, size=SHEET, length=0.0, stock=None, hung=0):
    needed, left = GelAmount(size, units, length), GelAmount(size, units - hung, length)
    return GelPull(name, (use(),), needed, needed, left, left, stock, 0, 0)


def spare_of(lines, percent):
    return [one.spare.units for one in with_spare(lines, percent)]


@pytest.mark.parametrize(
    ("units", "percent", "spare"),
    [
        ([2, 2, 2, 2, 2], 10, [1, 0, 0, 0, 0]),  # 10 sheets: one, not five
        ([1, 9], 10, [0, 1]),
        ([1, 14], 10, [0, 2]),  # 1.5 sheets are two
        ([30, 1], 10, [3, 1]),  # 3.1 are four
        ([2, 2], 0, [0, 0]),
        ([1, 1], 100, [1, 1]),
        ([1, 1, 1], 33, [1, 0, 0]),
        ([], 10, []),
    ],
)
def test_spare_is_so_much_of_the_whole_list(units, percent, spare):
    assert spare_of([line(f"Gel {i}", n) for i, n in enumerate(units)], percent) == spare


def test_a_roll_has_its_own_spare_and_takes_no_sheet_from_the_others():
    made = with_spare([line("CTO full", 1, ROLL, 3.0), line("CTB full", 1)], 10)
    assert made[0].still.length == pytest.approx(3.3)
    assert [one.still.units for one in made] == [1, 2]


def test_spare_that_the_truck_does_not_have_is_told():
    [made] = with_spare([line("CTO full", 10, stock=10)], 20)
    assert (made.still.units, made.short, made.spare_short) == (12, 0, 2)


def test_what_hangs_needs_no_spare():
    [made] = with_spare([line("CTO full", 10, hung=10)], 20)
    assert made.still.units == 0


LARGE, SMALL = Opening(width=1.0, height=0.5), Opening(width=0.4, height=0.9)


WALK = {(0, head): head for head in range(9)}


def down(*gels, openings=(LARGE,), head=0):
    return Removal(0, head, f"Head {head}", gels), openings


def reused(name, uses, off):
    served, _ = with_reused({name: uses}, list(cuts_off(off)), WALK)
    return served[name]


def test_a_cut_that_comes_down_serves_an_opening_no_larger_turned_or_not():
    [made] = reused("CTO full", [use(SMALL)], [down("CTO full")])
    assert made.reused == ("Head 0",) and not made.new
    [made] = reused("CTO full", [use(LARGE)], [down("CTO full", openings=(SMALL,))])
    assert made.reused == () and made.new


def test_another_gel_serves_nothing_and_each_cut_serves_once():
    [made] = reused("CTO full", [use(SMALL)], [down("CTB full")])
    assert made.new
    first, second = reused("CTO full", [use(SMALL), use(SMALL, head=2)], [down("CTO full")])
    assert not first.new and second.new


def test_a_source_is_served_whole_or_not_at_all():
    two = Opening(width=0.4, height=0.4, count=2)
    [made] = reused("CTO full", [use(two)], [down("CTO full")])
    assert made.new
    [made] = reused("CTO full", [use(two)], [down("CTO full"), down("CTO full", head=2)])
    assert made.reused == ("Head 0", "Head 2")
    [made] = reused("CTO full", [use(two)], [down("CTO full", "CTO full")])
    assert not made.new, "two layers are two cuts"


def test_what_hangs_stays_and_a_cut_with_a_size_serves_none_without():
    [made] = reused("CTO full", [use(SMALL, hung=True)], [down("CTO full")])
    assert made.reused == ()
    [made] = reused("CTO full", [use()], [down("CTO full")])
    assert made.reused == ()
    [made] = reused("CTO full", [use(SMALL)], [down("CTO full", openings=())])
    assert made.new


def test_where_nobody_gave_sizes_a_cut_is_one_sheet_and_serves_another():
    [made] = reused("CTO full", [use()], [down("CTO full", openings=())])
    assert made.reused == ("Head 0",)
    [made] = reused("CTO full", [use(layers=2)], [down("CTO full", openings=())])
    assert made.new, "two layers are two sheets"
    both = down("CTO full", openings=()), down("CTO full", openings=(), head=2)
    [made] = reused("CTO full", [use(layers=2)], both)
    assert made.reused == ("Head 0", "Head 2")


def test_a_cut_that_is_down_goes_to_whom_the_walk_would_have_brought_it():
    """Head 7 gave its cut already. Head 2 comes by before: it has that of Head 1, as it was told."""
    here = LooseCut("CTO full", (0.4, 0.9), "Head 7", None)
    first = next(cuts_off([down("CTO full", head=1)]))
    served, _ = with_reused({"CTO full": [use(SMALL, head=2)]}, [here, first], WALK, {"Head 7": 7})
    assert served["CTO full"][0].reused == ("Head 1",)


def test_the_smallest_that_fits_goes_first():
    spare = Opening(width=2.0, height=2.0)
    [made] = reused(
        "CTO full", [use(SMALL, head=4)], [down("CTO full", openings=(spare,)), down("CTO full", head=3)]
    )
    assert made.reused == ("Head 3",)


def test_a_cut_that_is_down_when_the_walk_comes_by_goes_before_one_that_is_still_up():
    large, later = down("CTO full"), down("CTO full", openings=(SMALL,), head=3)
    [made] = reused("CTO full", [use(SMALL, head=2)], [large, later])
    assert (made.reused, made.waits_for) == (("Head 0",), ((0, 0),))
    first, second = reused("CTO full", [use(SMALL, head=2), use(SMALL, head=4)], [later])
    assert first.new and second.reused == ("Head 3",), "no turning aside where the walk passes later anyway"


def test_two_heads_that_exchange_their_gels_cost_one_new_cut_and_no_second_climb():
    taken = {"CTO full": [use(SMALL, head=1)], "CTB full": [use(SMALL, head=2)]}
    off = [down("CTB full", head=1), down("CTO full", head=2)]
    served, left = with_reused(taken, list(cuts_off(off)), WALK)
    assert served["CTB full"][0].waits_for == ((0, 1),)
    assert served["CTO full"][0].new
    assert [(cut.gel, cut.source) for cut in left] == [("CTO full", "Head 2")]


def test_a_tick_holds_for_that_amount_alone():
    two, three = line("CTO full", 2), line("CTO full", 3)
    assert key_of(two) == "CTO full: 2 Sheet"
    pulls = PullList((two, line("CTB full", 1)), ())
    assert progress(pulls, [key_of(two)]).done == 1
    assert progress(pulls, [key_of(three)]).done == 0
    assert progress(pulls, []).of == 2
    assert key_of(line("CTO full", 1, ROLL, 3.3)) == "CTO full: 3.3 m Roll"
    served = replace(two, uses=tuple(replace(one, reused=("Head 3",)) for one in two.uses))
    assert key_of(served) == "CTO full: re-used", "as sets that are kept have it"
