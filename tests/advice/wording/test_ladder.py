"""How large the fractions of gels are by a table. Every table here is invented but the shipped one."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.wording.ladder import TRADE, Ladder, ladder_of
from advisor.model import Gel
from tests.advice.lamps import SHIPPED
from tests.advice.rows import stronger
from tests.strategies import STEADY, gel_tables

FRACTIONS = ["1/8", "1/4", "1/2", "3/4", "full"]


def cto(off=(), **sizes):
    """Return rows of CTO by their sizes; those named in `off` are switched off."""
    names = {"eighth": "1/8", "quarter": "1/4", "half": "1/2", "three": "3/4", "full": "full"}
    return [
        Gel(family="CTO", fraction=names[name], mired=size, on=name not in off)
        for name, size in sizes.items()
    ]


def test_the_trades_sizes():
    """Common practice, from memory: CTO of the lighter series, CTB, green."""
    assert TRADE.cto == (20, 40, 80, 107, 134)
    assert TRADE.ctb == (18, 35, 70, 102, 134)
    assert TRADE.plus_green == TRADE.minus_green == pytest.approx((0.0035, 0.0075, 0.015, 0.0225, 0.030))


def test_the_shipped_table_has_the_trades_sizes():
    # Its 3/4 of CTO and CTB are switched off and count all the same; it has no 3/4 of green.
    assert ladder_of(SHIPPED) == TRADE


def test_a_truck_with_the_stronger_series_has_those_of_cto():
    """Common practice, from memory: 25, 65, 110, 160, and 3/4 midway between its neighbours."""
    ladder = ladder_of(stronger())
    assert ladder.cto == (25, 65, 110, 135, 160)
    assert (ladder.ctb, ladder.plus_green, ladder.minus_green) == TRADE_BUT_CTO


TRADE_BUT_CTO = (TRADE.ctb, TRADE.plus_green, TRADE.minus_green)


def test_the_rack_and_its_order_tell_the_same():
    assert gel_arrays_of(tuple(reversed(stronger()))).ladder == ladder_of(stronger())


def test_cooler_is_said_in_ctb_and_magenta_in_minus_green():
    ladder = Ladder((1.0,), (2.0,), (3.0,), (4.0,))
    assert (ladder.along(5), ladder.along(-5)) == ((1.0,), (2.0,))
    assert (ladder.across(5), ladder.across(-5)) == ((3.0,), (4.0,))


class TestMissing:
    def test_a_half_and_a_full_say_the_others(self):
        # Below the half in proportion, 110/80 of 20 and 40; 3/4 as the trade's 107 lies between 80 and 134.
        sizes = ladder_of(cto(half=110.0, full=160.0)).cto
        assert sizes == pytest.approx((27.5, 55, 110, 110 + 50 * 27 / 54, 160))

    def test_beyond_the_last_it_goes_on_in_proportion(self):
        assert ladder_of(cto(quarter=50.0)).cto == pytest.approx((25, 50, 100, 133.75, 167.5))

    def test_each_family_goes_by_its_own(self):
        ladder = ladder_of([*cto(half=110.0), Gel(family="Minus green", fraction="1/4", cc=-9.0)])
        assert ladder.minus_green == pytest.approx((0.0042, 0.009, 0.018, 0.027, 0.036))
        assert (ladder.ctb, ladder.plus_green) == (TRADE.ctb, TRADE.plus_green)
        ladder = ladder_of([Gel(family="CTB", fraction="1/2", mired=-77.0)])
        assert ladder.ctb == pytest.approx((19.8, 38.5, 77, 112.2, 147.4))  # 77/70 of the trade's
        assert (ladder.cto, ladder.plus_green, ladder.minus_green) == (TRADE.cto, *[TRADE.plus_green] * 2)

    def test_an_empty_table_has_the_trades(self):
        assert ladder_of([]) == TRADE

    @pytest.mark.parametrize("family", ["Amber", "CTO Frost", "Half CTO", "Green"])
    def test_another_family_says_nothing(self, family):
        assert ladder_of([Gel(family=family, fraction="1/2", mired=110.0, cc=9.0)]) == TRADE

    def test_another_fraction_says_nothing(self):
        assert ladder_of([Gel(family="CTO", fraction="1/3", mired=60.0)]) == TRADE

    @pytest.mark.parametrize("family", ["cto", "Cto", "CTO"])
    def test_letter_case_is_no_other_family(self, family):
        assert ladder_of([Gel(family=family, fraction="full", mired=160.0)]).cto[-1] == 160


class TestNonsense:
    def test_sizes_that_do_not_rise_give_way_to_the_trades(self):
        assert ladder_of(cto(eighth=20.0, quarter=60.0, half=60.0, full=134.0)).cto == TRADE.cto
        assert ladder_of(cto(eighth=40.0, quarter=20.0)).cto == TRADE.cto

    def test_three_times_off_is_taken_and_more_is_not(self):
        assert ladder_of(cto(half=240.0)).cto[2] == 240
        assert ladder_of(cto(half=241.0)).cto == TRADE.cto
        assert ladder_of(cto(half=27.0)).cto[2] == 27
        assert ladder_of(cto(half=26.0)).cto == TRADE.cto

    def test_a_row_that_is_far_off_does_not_spoil_the_others(self):
        assert ladder_of(cto(half=110.0, full=500.0)).cto == ladder_of(cto(half=110.0)).cto

    def test_a_row_of_the_wrong_sign_says_nothing(self):
        assert ladder_of(cto(half=-80.0)).cto == TRADE.cto
        assert ladder_of([Gel(family="CTB", fraction="1/2", mired=90.0)]).ctb == TRADE.ctb

    @given(gel_tables())
    @STEADY
    def test_they_rise_whatever_the_table_says(self, table):
        ladder = ladder_of(table.rows)
        for sizes in (ladder.cto, ladder.ctb, ladder.plus_green, ladder.minus_green):
            assert sizes[0] > 0 and all(one < other for one, other in itertools.pairwise(sizes))

    @given(st.dictionaries(st.sampled_from(FRACTIONS), st.tuples(st.floats(1, 300), st.booleans())))
    def test_they_rise_with_any_rows_of_cto(self, said):
        rows = [Gel(family="CTO", fraction=f, mired=size, on=on) for f, (size, on) in said.items()]
        sizes = ladder_of(rows).cto
        assert sizes[0] > 0 and all(one < other for one, other in itertools.pairwise(sizes))


class TestSwitchedOff:
    def test_what_is_off_counts_where_nothing_else_says_it(self):
        assert ladder_of(cto(off=("three",), half=80.0, three=100.0, full=134.0)).cto[3] == 100

    def test_it_does_not_stand_against_what_is_on(self):
        """The half and the full were typed from a swatch book, the rest was switched off and left."""
        rows = cto(
            off=("eighth", "quarter", "three"), eighth=20.0, quarter=40.0, half=110.0, three=107.0, full=160.0
        )
        assert ladder_of(rows).cto == ladder_of(cto(half=110.0, full=160.0)).cto

    def test_where_all_is_off_they_still_are_the_tables(self):
        assert ladder_of(cto(off=("half", "full"), half=110.0, full=160.0)).cto[2] == 110
