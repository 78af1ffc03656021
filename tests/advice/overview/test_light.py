"""Levels, ratios and stops against the key, now and with gels."""

import math

import pytest

from advisor.advice.overview.ratios import (
    Ratio,
    against_key,
    at_subject,
    between,
    key_to_fill,
    lux_of,
    of_role,
    over_key,
    planned,
)
from advisor.advice.plan.make import make_plan
from advisor.model import Limits, Reading, Role, Source, Target
from tests.advice.rows import neutral, nominal, source
from tests.web.page import plain

TABLE = nominal() + neutral()
NEAR = {"kind": "daylight", "cct": 5600.0, "duv": 0.0033}
"""A source on the target: it stays bare, so that its light stays."""


def plan(*sources, target=None, without=()):
    limits = Limits(exclude_families=list(without))
    return make_plan(sources, target or Target(cct=5600), limits, TABLE)


def lit(name, lux, role=Role.OTHER, **extra):
    return source(name, lux=lux, role=role, **{**NEAR, **extra})


class TestLevels:
    def test_hung_is_what_the_best_stack_leaves(self):
        made = plan(source("Head", "tungsten", 3200.0, 0.0, lux=1000))
        best = made.alone.best
        assert best.gels and best.stops > 0.5
        assert lux_of(made, 0, gelled=False) == 1000
        assert lux_of(made, 0, gelled=True) == best.after.lux
        assert lux_of(made, 0, gelled=True) == pytest.approx(1000 * 2**-best.stops, rel=1e-4)

    def test_the_faintest_light_stays_above_nothing(self):
        made = plan(source("Head", "tungsten", 2000.0, 0.0, lux=0.01, keep=["ND 0.3"]))
        assert made.alone.best.after.lux == 0.0  # as the advice shows it
        assert 0 < lux_of(made, 0, gelled=True) <= 0.005

    def test_a_head_that_cannot_be_advised_on_counts_as_it_is(self):
        unreal = Source(name="Unreal", reading=Reading(xy=(0.5, 0.51), lux=70))
        made = plan(unreal, lit("Key", 100))
        assert made.heads[0].best is None
        assert at_subject(made, gelled=True).lux == 170

    def test_without_a_target_there_is_only_now(self):
        made = plan(lit("Key", 100), target=Target(source="Nobody"))
        assert not planned(made)
        assert at_subject(made, gelled=False).lux == 100
        assert at_subject(made, gelled=True).lux is None
        assert lux_of(made, 0, gelled=True) is None

    def test_no_source_no_light(self):
        for hung in (False, True):
            assert at_subject(plan(), gelled=hung).lux is None
        assert at_subject(plan(), gelled=False).names == ()


class TestTotals:
    def test_what_falls_on_the_subject_adds_up(self):
        made = plan(lit("A", 100), lit("B", 50), lit("Elsewhere", 900, on_subject=False))
        got = at_subject(made, gelled=False)
        assert (got.lux, got.whole, got.names, got.missing) == (150, 150, ("A", "B"), ())

    def test_a_back_light_and_a_practical_do_not_unless_somebody_says_so(self):
        """Common practice, no source: they are seen, and light the subject from behind or not at all."""
        behind = lit("Rim", 900, role="back"), lit("Table lamp", 30, role="practical")
        made = plan(lit("Key", 100, role="key"), lit("Window", 50, role="other"), *behind)
        assert at_subject(made, gelled=False).names == ("Key", "Window")
        rim = lit("Rim", 900, role="back", on_subject=True)
        assert at_subject(plan(lit("Key", 100, role="key"), rim), gelled=False).lux == 1000
        fill = lit("Fill", 10, role="fill", on_subject=False)
        assert at_subject(plan(lit("Key", 100, role="key"), fill), gelled=False).lux == 100

    def test_a_missing_lux_is_named_and_the_rest_added(self):
        got = at_subject(plan(lit("A", 100), lit("Dark", None)), gelled=True)
        assert (got.lux, got.whole, got.missing) == (100, None, ("Dark",))

    def test_all_missing(self):
        got = at_subject(plan(lit("Dark", None)), gelled=False)
        assert (got.lux, got.whole, got.missing) == (None, None, ("Dark",))


class TestKeyToFill:
    def test_the_lit_side_to_the_fill_side(self):
        # key 300 lx, fill 100 lx: 400 : 100 where both reach, 100 where only the fill does
        got = key_to_fill(plan(lit("Key", 300, Role.KEY), lit("Fill", 100, Role.FILL)), gelled=False)
        assert (got.lit.text, got.lit.stops) == ("4:1", 2.0)
        assert (got.alone.text, got.alone.stops) == ("3:1", pytest.approx(math.log2(3)))
        assert got.missing == ""

    def test_several_keys_and_fills_add_up(self):
        made = plan(
            lit("K1", 200, Role.KEY), lit("K2", 100, Role.KEY), lit("F1", 60, "fill"), lit("F2", 40, "fill")
        )
        assert key_to_fill(made, gelled=False).lit.text == "4:1"
        assert of_role(made, Role.KEY, gelled=True).lux == 300

    def test_gel_on_the_key_brings_it_down(self):
        key = source("Key", "tungsten", 3200.0, 0.0, lux=800, role=Role.KEY)
        made = plan(key, lit("Fill", 100, Role.FILL))
        now, hung = (key_to_fill(made, gelled=h) for h in (False, True))
        assert now.alone.text == "8:1"
        assert now.alone.stops - hung.alone.stops == pytest.approx(made.heads[0].best.stops, abs=0.001)

    @pytest.mark.parametrize(
        ("sources", "says"),
        [
            ([("Key", 100, Role.KEY)], "no source is the fill"),
            ([("Fill", 100, Role.FILL)], "no source is the key"),
            ([], "no source is the key, no source is the fill"),
            ([("A", None, Role.KEY), ("B", 9, Role.FILL)], "the key, A, has no lux"),
            ([("A", 9, Role.KEY), ("B", None, Role.FILL)], "the fill, B, has no lux"),
            ([("A", 9, Role.KEY), ("C", None, Role.KEY), ("B", 9, Role.FILL)], "the key, C, has no lux"),
        ],
    )
    def test_what_is_missing_is_said(self, sources, says):
        made = plan(*(lit(*each) for each in sources))
        for hung in (False, True) if sources else (False,):
            got = key_to_fill(made, gelled=hung)
            assert (got.lit, got.alone, got.missing) == (None, None, says)


class TestRatios:
    @pytest.mark.parametrize(
        ("value", "text", "words"),
        [
            (4.0, "4:1", "2 stops over"),
            (0.25, "1:4", "2 stops under"),
            (2.0, "2:1", "1 stop over"),
            (2.5, "2.5:1", "1.3 stops over"),
            (1.0, "1:1", "even with"),
            (1.03, "1:1", "even with"),
            (1 / 1.03, "1:1", "even with"),
            (1.05, "1.1:1", "0.1 stop over"),
            (16.4, "16:1", "4 stops over"),
            (1e6, "1\u202f000\u202f000:1", "19.9 stops over"),
        ],
    )
    def test_are_told_as_a_crew_tells_them(self, value, text, words):
        assert (Ratio(value).text, plain(Ratio(value).words)) == (text, words)

    def test_between_any_two(self):
        made = plan(lit("A", 400), lit("B", 100), lit("Dark", None))
        assert between(made, 0, 1, gelled=False).stops == 2.0
        assert between(made, 1, 0, gelled=True).stops == pytest.approx(-2.0, abs=0.2)
        assert between(made, 0, 0, gelled=False).even
        assert between(made, 0, 2, gelled=False) is None and between(made, 2, 0, gelled=True) is None

    def test_against_the_key(self):
        made = plan(lit("Key", 100, Role.KEY), lit("Window", 400), lit("Dark", None))
        assert [against_key(made, i, gelled=False) for i in (0, 1, 2)] == [Ratio(1.0), Ratio(4.0), None]
        assert against_key(plan(lit("Window", 400)), 0, gelled=False) is None


class TestOverTheKey:
    KEY = lit("Key", 100, Role.KEY)

    def test_only_those_with_a_limit(self):
        assert over_key(plan(self.KEY, lit("Window", 400))) == []

    @pytest.mark.parametrize("lux", [100, None])
    def test_a_key_keeps_no_limit_of_its_own(self, lux):
        """It is not dimmed for one either."""
        assert over_key(plan(lit("Key", lux, Role.KEY, over_key=-1))) == []

    def test_within(self):
        [got] = over_key(plan(self.KEY, lit("Window", 200, over_key=1)))
        assert (got.i, got.name, got.limit, got.keeps) == (1, "Window", 1, True)
        assert got.now.stops == 1.0
        assert plain(got.words) == (
            "1 stop over the key bare, 1 stop over it with gels: within its limit of 1 stop over"
        )

    def test_beyond(self):
        [got] = over_key(plan(self.KEY, lit("Window", 400, over_key=0.5), without=["ND"]))
        assert got.keeps is False
        assert "2 stops over the key bare" in plain(got.words)
        assert plain(got.words).endswith("1.5 stops more than its limit of 0.5 stop over")

    def test_nd_brings_it_within(self):
        [got] = over_key(plan(self.KEY, lit("Window", 400, over_key=0.5)))
        assert got.keeps is True and got.now.stops == 2.0 and got.gelled.stops <= 0.55

    def test_what_is_to_stay_under_the_key(self):
        sources = (self.KEY, lit("A", 25, over_key=-2), lit("B", 50, over_key=-2))
        below, above = over_key(plan(*sources, without=["ND"]))
        assert (below.keeps, above.keeps) == (True, False)
        assert plain(below.words).endswith("within its limit of 2 stops under")
        assert plain(above.words).endswith("1 stop more than its limit of 2 stops under")

    def test_the_gels_may_bring_it_within(self):
        window = source("Lamp", "tungsten", 3200.0, 0.0, lux=240, over_key=0.5)
        [got] = over_key(plan(self.KEY, window))
        assert got.now.stops > 1.2 and got.gelled.stops < 0.5
        assert got.keeps is True

    @pytest.mark.parametrize(
        ("sources", "says"),
        [
            ([lit("Window", None, over_key=1), KEY], "Window has no lux"),
            ([lit("Window", 50, over_key=1)], "no source is the key"),
            ([lit("Window", 50, over_key=1), lit("Key", None, Role.KEY)], "the key, Key, has no lux"),
        ],
    )
    def test_what_cannot_be_told_is_said(self, sources, says):
        [got] = over_key(plan(*sources))
        assert (got.now, got.gelled, got.keeps, got.words) == (None, None, None, says)

    def test_without_a_plan_now_decides(self):
        made = plan(self.KEY, lit("Window", 400, over_key=1), target=Target(source="Nobody"))
        [got] = over_key(made)
        assert got.keeps is False and got.gelled is None
        assert plain(got.words) == "2 stops over the key bare: 1 stop more than its limit of 1 stop over"
