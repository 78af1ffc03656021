"""A tolerance as a crew says it, a source's own, and the target with a camera's tint."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.advice.answer.advise import advise
from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.target import white_of
from advisor.advice.wording.ladder import TRADE, ladder_of
from advisor.advice.wording.tolerance import steps_of
from advisor.advice.wording.words import against_locus
from advisor.model import Gel, Locus, Reading, Refused, Target
from advisor.model.sets.phrases import white as white_said
from tests.advice.rows import asking, nominal, source, stronger
from tests.strategies import STEADY
from tests.web.page import plain

WHITE = white_of(Target(cct=5600), [])


def between(one, other):
    """Return how far two whites, (CCT, Duv), lie apart in steps; by CIE 1976 u′v′ from CIE 1960 u, v."""
    (u, v), (s, t) = (measure(Reading(cct=cct, duv=duv)).uv for cct, duv in (one, other))
    return float(((u - s) ** 2 + (1.5 * (v - t)) ** 2) ** 0.5) / 0.0011


def warmer(mired):
    """Return the whites of the target's Duv half a shift to either side of it."""
    half = mired / 2
    return (1e6 / (1e6 / WHITE.cct + half), WHITE.duv), (1e6 / (1e6 / WHITE.cct - half), WHITE.duv)


def greener(duv):
    return (WHITE.cct, WHITE.duv + duv / 2), (WHITE.cct, WHITE.duv - duv / 2)


class TestSaid:
    @pytest.mark.parametrize("said", ["1/8 CTO", " 1/8 cto ", "⅛ CTO", "1/8CTO", "1/8 of CTO"])
    def test_an_eighth_of_cto(self, said):
        # 20 MK⁻¹ of the lighter series, 25 of the stronger one: common practice, from memory
        assert steps_of(said, WHITE, TRADE) == pytest.approx(between(*warmer(20)), abs=0.06)
        assert steps_of(said, WHITE, TRADE) == pytest.approx(9, abs=0.1)
        assert steps_of(said, WHITE, ladder_of(stronger())) == pytest.approx(between(*warmer(25)), abs=0.06)

    def test_an_eighth_of_ctb_is_another(self):
        # 18 MK⁻¹: common practice, from memory
        assert steps_of("⅛ CTB", WHITE, TRADE) == pytest.approx(between(*warmer(18)), abs=0.06)
        assert steps_of("⅛ CTB", WHITE, TRADE) == steps_of("⅛ CTB", WHITE, ladder_of(stronger()))

    @pytest.mark.parametrize(
        "said", ["¼ green", "1/4 Green", "1/4 plus green", "¼ minus green", "1/4 magenta"]
    )
    def test_a_quarter_of_green(self, said):
        # 7.5 CC is a quarter of green: common practice, no source
        assert steps_of(said, WHITE, TRADE) == pytest.approx(between(*greener(0.0075)), abs=0.06)

    def test_plus_green_and_minus_green_are_two_gels(self):
        rows = [Gel(family="Minus green", fraction="1/4", cc=-9.0)]
        plus, minus = (steps_of(f"1/4 {gel}", WHITE, ladder_of(rows)) for gel in ("green", "magenta"))
        assert (plus, minus) == pytest.approx((between(*greener(0.0075)), between(*greener(0.009))), abs=0.06)
        assert steps_of("1/4 plus green", WHITE, ladder_of(rows)) == plus
        assert steps_of("1/4 minus green", WHITE, ladder_of(rows)) == minus

    @pytest.mark.parametrize("said", ["full ctb", "Full CTO", "FULL CTO"])
    def test_a_full_one(self, said):
        # The scale is the one at the target; over a whole CTO the locus bends away from it.
        assert steps_of(said, WHITE, TRADE) == pytest.approx(between(*warmer(1.34)) * 100, rel=2e-3)

    def test_at_another_white_it_is_another_number(self):
        assert steps_of("1/8 CTO", white_of(Target(cct=3200, locus="planckian"), []), TRADE) < steps_of(
            "1/8 CTO", WHITE, TRADE
        )

    @pytest.mark.parametrize("said", ["3", "2,5 steps", "", "three", "1/8", "CTO"])
    def test_what_is_no_fraction_of_a_gel_is_for_the_model_to_read(self, said):
        assert steps_of(said, WHITE, TRADE) == said

    @pytest.mark.parametrize("said", ["1/3 CTO", "5/8 green", "some CTO", "3 CTB"])
    def test_no_fraction_that_gels_come_in_is_refused(self, said):
        with pytest.raises(Refused) as no:
            steps_of(f" {said} ", WHITE, TRADE)
        [problem] = no.value.problems
        assert problem.where == "tolerance_steps"
        assert problem.says == f"{said!r} is not a gel fraction"
        assert problem.allowed == "steps, such as 3, or a fraction of a gel, such as 1/8 CTO or 1/4 green"


class TestOwn:
    def test_it_changes_its_ranking_and_not_its_neighbours(self):
        head, lamp = source("Head", "discharge", 4540, 0.001), source("Lamp", "discharge", 4540, 0.001)
        strict = advise(asking(head, lamp, tolerance_steps=0.5), nominal())
        lax = head.model_copy(update={"tolerance_steps": 6.0})
        eased = advise(asking(lax, lamp, tolerance_steps=0.5), nominal())
        assert eased.sources[1] == strict.sources[1]
        assert eased.sources[0] == advise(asking(head, tolerance_steps=6), nominal()).sources[0]
        # Within six steps a sheet is enough; within half a step it takes three.
        assert [answer.stacks[0].layers for answer in eased.sources] == [1, 3]

    def test_it_holds_where_all_share_one_stock(self):
        """One CTO 1/2 for two: the one that is content with less is no reason for the other to go without."""
        rows = [row for row in nominal(stock=1) if row.name in ("CTO 1/2", "CTO 1/4")]
        near, far = source("Near", cct=8000, duv=0.003), source("Far", cct=8400, duv=0.003)
        strict = advise(asking(near, far, tolerance_steps=1, share_stock=True), rows)
        lax = far.model_copy(update={"tolerance_steps": 45.0})
        eased = advise(asking(near, lax, tolerance_steps=1, share_stock=True), rows)
        assert [s.allocated.stack.gels for s in strict.sources] == [["CTO 1/4"], ["CTO 1/2"]]
        assert [s.allocated.stack.gels for s in eased.sources] == [["CTO 1/2"], ["CTO 1/4"]]


class TestTint:
    @given(st.floats(2700, 7500), st.floats(-20, 20), st.floats(-0.01, 0.01))
    @STEADY
    def test_tint_and_offset_add_up(self, cct, tint, offset):
        """CC is 1 000 × Duv: our definition."""
        target = Target(cct=cct, locus="planckian", tint=tint, duv_offset=offset)
        try:
            white = white_of(target, [])
        except Refused:  # warm and very green: a colour that no light can have
            assume(False)
        assert white.duv == pytest.approx(tint / 1000 + offset, abs=2e-6)
        assert white.cct == pytest.approx(cct, rel=2e-5)

    def test_on_the_daylight_locus_it_is_on_top_of_what_that_has(self):
        tinted = white_of(Target(cct=5600, tint=3.5), [])
        assert tinted.duv - WHITE.duv == pytest.approx(0.0035, abs=2e-6)

    def test_off_the_white_of_a_source_too(self):
        panel = source("Panel", cct=4300, duv=-0.002)
        assert white_of(Target(source="Panel", tint=-5), [panel]).duv == pytest.approx(-0.007, abs=2e-6)

    def test_a_positive_one_calls_for_greener_light(self):
        plain, tinted = (
            advise(asking(source(cct=5600, duv=0.0033), target=Target(cct=5600, tint=tint)), nominal())
            for tint in (0.0, 7.5)
        )
        assert plain.sources[0].stacks[0].gels == []
        assert any(gel.startswith("Plus green") for gel in tinted.sources[0].stacks[0].gels)
        assert "magenta" in tinted.sources[0].needed.words

    @pytest.mark.parametrize(
        ("tint", "said"),
        [
            (0, "5\N{NARROW NO-BREAK SPACE}600 K daylight"),
            (5, "5\N{NARROW NO-BREAK SPACE}600 K daylight, camera taking out 5 CC of green"),
            (-2.5, "5\N{NARROW NO-BREAK SPACE}600 K daylight, camera taking out 2.5 CC of magenta"),
        ],
    )
    def test_words_say_which_way(self, tint, said):
        assert plain(white_said(Target(cct=5600, tint=tint))) == said

    @pytest.mark.parametrize(
        ("off", "where"), [({"tint": 50.0}, "tint"), ({"tint": 20.0, "duv_offset": 0.04}, "duv_offset")]
    )
    def test_too_far_from_white_is_refused_where_it_was_given(self, off, where):
        with pytest.raises(Refused) as no:
            white_of(Target(cct=5600, **off), [])
        [problem] = no.value.problems
        assert problem.where == where
        assert "too far from white" in problem.says or "no light can have" in problem.says


def test_the_target_without_tint_lies_on_its_locus():
    assert "on the daylight locus" in against_locus(WHITE.duv, WHITE.duv, Locus.DAYLIGHT, TRADE)
