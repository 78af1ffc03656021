"""Gels learnt from a meter. Every gel and reading is made here: by the engine itself, or by other dyes."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from advisor.advice.answer.one_stack import predict_one
from advisor.advice.readings.chromaticity import measure
from advisor.advice.stacks.gel_arrays import gel_arrays_of, nominal_stops
from advisor.advice.stacks.prediction import prepare
from advisor.advice.teaching.possible_rows import checked, is_taught, untaught_note
from advisor.advice.teaching.teach import Question, from_transmittance
from advisor.colour.observer import grid
from advisor.colour.observer.chromaticity import delta_uv_prime, uv_of_xyz
from advisor.colour.observer.data import published
from advisor.colour.observer.grid import weights
from advisor.colour.observer.loci import planckian
from advisor.colour.spectra import dyes, gels
from advisor.model import Gel, Reading, Refused, Source, WantedOffset
from tests.advice.pairs import LUX, RANGES, gelled, head, passed, read
from tests.advice.searching import SILENT
from tests.advice.taught import MIRED_BACK, ROW, TABLE, flat, from_pair, within_doubt
from tests.strategies import STEADY
from tests.thorough import cases


def refused(gel, source, after, table=TABLE):
    with pytest.raises(Refused) as no:
        from_pair(gel, source, after, table)
    (problem,) = no.value.problems
    return problem


@st.composite
def pairs(draw, kinds=tuple(RANGES)):
    """Make a sheet, its row in the table (up to a sixth off), and a pair of exact readings on some head."""
    kind = draw(st.sampled_from(kinds))
    low, high = RANGES[kind]
    source = head(kind, draw(st.integers(low, high)), round(draw(st.floats(-0.004, 0.004)), 4))
    mired = draw(st.just(0.0) | st.floats(1, 140) | st.floats(-140, -1))
    cc = draw(st.just(0.0) | st.floats(-3, 3) | st.floats(-30, 30))
    assume(abs(mired) >= 1 or abs(cc) >= 0.1)
    stops = draw(st.none() | st.floats(2, 4))
    off = draw(st.floats(0.86, 1.16))
    try:
        sheet = checked(Gel(family="Made", fraction="full", mired=mired, cc=cc, stops=stops))
        row = checked(Gel(family="Made", fraction="full", mired=mired * off, cc=cc * off, stops=3.9))
        after = gelled(source, sheet)
    except Refused:  # no dye makes it, or no lamp of the kind reads so
        assume(False)
    assume(after is not None)
    return sheet, row, source, after


@settings(STEADY, max_examples=cases(25, 3))
@given(pairs())
def test_what_the_engine_says_of_a_sheet_is_fitted_back_as_nearly_as_the_row_then_says(pair):
    sheet, row, source, after = pair
    try:
        lesson = from_pair(row, source, after, [row])
    except Refused:  # so strange beside its row that it is asked about: see below
        assume(False)
    # The doubt is that of nine in ten; made here at random are the other ones too.
    assert within_doubt(lesson, sheet.mired, sheet.cc, times=2.0)
    assert lesson.old == row
    assert (lesson.new.known, lesson.new.percent <= 25.0) == ("taught", True)


def other_dyes(by):
    """Return dyes that are not the advisor's: bands moved by some nm, and a fifth wider."""
    return dyes.shifted(by, by, 1.2)


def lessons(
    labels=("CTO 1/4", "CTO full", "CTB 1/2", "Plus green 1/2", "Minus green 1/4", "Minus green full"),
):
    """Teach sheets of other dyes, a seventh off their labels, on a 3 200 K radiator; give each its truth."""
    lit = planckian(3200.0)
    for by in (12.0, -12.0):
        for strength in (0.85, 1.15):
            for label in (ROW[name] for name in labels):
                shift = np.array([label.mired * strength]), np.array([label.cc * strength])
                try:
                    [sheet] = gels.transmittances(*shift, np.array([np.nan]), dyes=other_dyes(by))
                except gels.Impossible:  # which these dyes cannot make
                    continue
                source = Source(name="Head", kind="tungsten", reading=read(lit))
                after = read(lit * sheet, LUX * passed(lit, sheet))
                yield sheet, label, from_pair(label, source, after, TABLE).new


def miss(row, spectrum, sheet):
    """Return how far a row's prediction for a white LED is from the truth, and what it says. [step]"""
    source = Source(name="LED", kind="led-white", reading=read(spectrum))
    gel_arrays = gel_arrays_of((row,))
    bare = prepare(source, gel_arrays, measure(source.reading))
    told = predict_one(bare, SILENT, gel_arrays, np.array([[0]]))
    predicted = measure(Reading(cct=told.after.cct, duv=told.after.duv)).uv
    return float(
        delta_uv_prime(predicted, uv_of_xyz((spectrum * sheet) @ weights()))
    ) / 0.0011, told.uncertainty_steps


def test_a_gel_taught_on_tungsten_predicts_on_white_leds():
    """Of 24 sheets on CIE's LED-B1 to B5 the truth is to lie in the stated 90 % in at least 85 %.

    With all nine of CIE's LEDs, 27 labels and three strengths it was 89 %: all of B1 to B5 and BH1, 75 and
    25 % of those with a violet pump, which no reading of CCT and Duv tells; median miss 1.1 steps.
    """
    leds = []
    for name in ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5"):
        own = published(name)
        leds.append(grid.to_grid(own.wavelengths, own.values))
    found = np.array(
        [
            (*miss(taught, led, sheet), miss(label, led, sheet)[0])
            for sheet, label, taught in lessons()
            for led in leds
        ]
    )
    assert len(found) >= 100
    off, stated, untaught = found.T
    assert np.mean(off <= stated) >= 0.85
    assert np.median(off) < 1.0
    assert np.median(off) < 0.5 * np.median(untaught)


class TestTheReference:
    """Every sheet has a label on its own reference, whichever way it shifts."""

    def sheet_reading(self, mired):
        """Read a quarter minus green that also shifts 5 600 K by some mireds, by density upon density."""
        [green] = gel_arrays_of((ROW["Minus green 1/4"],)).transmittances
        [tint] = gels.transmittances(np.array([-10.0]), np.array([0.0]), np.array([np.nan]))
        lit = planckian(5600.0)
        source = Source(name="Head", kind="daylight", reading=read(lit, None))
        return source, read(lit * green * tint ** (-mired / 10.0))

    @pytest.mark.parametrize("mired", [-4.0, 4.0])
    def test_a_minus_green_that_also_cools_or_warms_has_a_label(self, mired):
        source, after = self.sheet_reading(mired)
        lesson = from_pair(ROW["Minus green 1/4"], source, after, TABLE)
        assert lesson.new.mired == pytest.approx(mired, abs=1.6)
        assert lesson.new.cc == pytest.approx(-7.5, abs=0.3)
        assert lesson.new.reference is None
        assert lesson.fit.left[0] < 1

    def test_a_reference_that_the_new_figures_do_not_imply_is_said(self):
        source = head("daylight", 5600)
        after = gelled(source, Gel(family="Made", fraction="full", mired=-9.0, cc=-7.5, reference=5600))
        lesson = from_pair(ROW["Minus green 1/4"], source, after, TABLE)
        assert (lesson.new.mired, lesson.new.cc) == (pytest.approx(-9, abs=3), pytest.approx(-7.5, abs=0.5))
        assert lesson.new.reference == 5600

    def test_a_reference_that_the_row_says_stays(self):
        source = head("tungsten", 2900)
        row = ROW["CTB 1/2"].model_copy(update={"reference": 2900.0})
        lesson = from_pair(row, source, gelled(source, row), TABLE)
        assert (lesson.new.mired, lesson.new.reference) == (pytest.approx(row.mired, abs=MIRED_BACK), 2900)

    def test_rounding_does_not_carry_a_plus_green_to_the_other_reference(self):
        """A cooling label does the same on one head: by −42 MK⁻¹ and 18 CC. It names no gel."""
        source = head("daylight", 7504)
        after = gelled(source, ROW["Plus green full"])
        off = after.model_copy(update={"cct": after.cct + 8})
        lesson = from_pair(ROW["Plus green full"], source, off, TABLE)
        assert lesson.new.mired == pytest.approx(0, abs=1)
        assert lesson.new.cc == pytest.approx(30, abs=0.5)

    def test_a_neutral_that_cools_visibly_is_told_so(self):
        source = head("daylight", 5600)
        sheet = Gel(family="ND", fraction="0.3", mired=-9.0, stops=1.0)
        lesson = from_pair(ROW["ND 0.3"], source, gelled(source, sheet), TABLE)
        on_3200 = lesson.new.mired, lesson.new.stops, lesson.new.reference
        assert on_3200 == (pytest.approx(-9.4, abs=0.3), pytest.approx(1, abs=0.02), 5600)


class TestWhatIsNoPair:
    HEAD = head("led-white", 5600, 0.001)
    CTO = ROW["CTO 1/2"]

    def after(self, gel=CTO, **changed):
        return gelled(self.HEAD, gel).model_copy(update=changed)

    @pytest.mark.parametrize("lux", [1000.0, 1000.1, 5000.0])
    def test_gelled_brighter_than_bare(self, lux):
        problem = refused(self.CTO, self.HEAD, self.after(lux=lux))
        assert problem.where == "gelled.lux"
        assert "is not less than 1\N{NARROW NO-BREAK SPACE}000 lx bare" in problem.says
        assert "same dim level" in problem.allowed

    def test_less_light_lost_than_the_shift_costs(self):
        problem = refused(self.CTO, self.HEAD, self.after(lux=950))
        assert problem.where == "gelled.lux"
        assert "0.07 stops lost is too little: this shift costs at least 0.1" in problem.says

    def test_a_sheet_that_is_clearer_than_dyes_are_is_what_the_pair_says(self):
        clear = from_pair(self.CTO, self.HEAD, self.after(lux=830), TABLE).new
        assert clear.stops < nominal_stops(gel_arrays_of((self.CTO,)))["CTO 1/2"] - 0.05
        again, read = gelled(self.HEAD, clear), self.after(lux=830)
        assert again.lux == pytest.approx(830, rel=0.01)
        assert again.cct == pytest.approx(read.cct, abs=15) and again.duv == pytest.approx(read.duv, abs=2e-4)

    def test_another_gel_than_said(self):
        problem = refused(self.CTO, self.HEAD, self.after(ROW["Minus green 1/2"]))
        assert (problem.where, problem.says) == (
            "gel",
            "the light moved as Minus green 1/2 moves it, not CTO 1/2",
        )
        assert problem.allowed == "the gel that hung there: look at its label, and choose it"

    def test_two_heads(self):
        problem = refused(self.CTO, self.HEAD, Reading(cct=9500, duv=0.03, lux=600))
        assert problem.where == "gelled"
        assert "as no gel of the table moves it" in problem.says

    def test_the_gel_itself_is_never_the_other_one(self):
        stronger = self.CTO.model_copy(update={"mired": 2.1 * self.CTO.mired})
        problem = refused(self.CTO, self.HEAD, self.after(stronger), [self.CTO])
        assert "as no gel of the table moves it" in problem.says
        assert "not CTO 1/2" in refused(self.CTO, self.HEAD, self.after(stronger)).says

    def test_the_same_light_twice_contradicts_the_row(self):
        bare = self.HEAD.reading.model_copy(update={"lux": None})
        eighth = Gel(family="Minus green", fraction="1/8", cc=-3.5)
        assert from_pair(eighth, self.HEAD, bare).question is Question.CONTRADICTS


class TestWhatStays:
    @pytest.mark.parametrize(("before", "after"), [(None, 500.0), (1000.0, None), (None, None)])
    def test_without_both_illuminances_the_old_loss_stays(self, before, after):
        for stops in (None, 1.25):
            row = ROW["CTO 1/2"].model_copy(update={"stops": stops})
            source = head("daylight", 5600, lux=before)
            reading = gelled(head("daylight", 5600), row).model_copy(update={"lux": after})
            assert from_pair(row, source, reading, TABLE).new.stops == stops

    def test_stock_switch_and_name_stay_and_the_note_says_how_it_was_taught(self):
        row = ROW["CTO 1/2"].model_copy(update={"stock": 3, "on": False, "note": "roll with the tape"})
        source = head("daylight", 5600)
        new = from_pair(row, source, gelled(source, row), TABLE).new
        assert (new.name, new.stock, new.on) == ("CTO 1/2", 3, False)
        assert new.note == "taught by a pair of readings; roll with the tape"
        again = from_pair(new, source, gelled(source, row), TABLE).new
        assert again.note == new.note
        assert is_taught(again)
        assert not is_taught(row)
        assert untaught_note(again.note) == row.note

    @pytest.mark.parametrize("note", ["", "n" * 500])
    def test_a_note_of_any_length_can_be_taught(self, note):
        row = ROW["CTO 1/2"].model_copy(update={"note": note})
        source = head("daylight", 5600)
        assert is_taught(from_pair(row, source, gelled(source, row), TABLE).new)

    def test_what_hangs_on_the_head_anyway_and_what_is_wanted_of_it_do_not_matter(self):
        source = head("daylight", 5600)
        after = gelled(source, ROW["CTO 1/2"])
        busy = source.model_copy(update={"keep": ["ND 0.3"], "aim": WantedOffset(mired=-200)})
        assert from_pair(ROW["CTO 1/2"], busy, after, TABLE) == from_pair(
            ROW["CTO 1/2"], source, after, TABLE
        )

    def test_a_measured_row_that_is_taught_by_a_pair_is_measured_no_more(self):
        measured = from_transmittance(ROW["CTO 1/2"], flat(0.5)).new.model_copy(update={"mired": 67.0})
        assert not is_taught(measured.model_copy(update={"note": "taught by a pair of readings"}))
        source = head("daylight", 5600)
        with pytest.raises(Refused):  # a flat half is far from what the pair shows
            from_pair(measured, source, gelled(source, ROW["CTO full"]), [measured])
        taught = from_pair(
            measured, source, gelled(source, Gel(family="A", fraction="full", mired=8)), TABLE
        ).new
        assert taught.transmittance is None
