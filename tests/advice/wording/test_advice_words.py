"""What the words say: the trade's own readings, and ladders without gaps."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import references

from advisor.advice.readings.target import locus_duv
from advisor.advice.wording import words
from advisor.advice.wording.ladder import TRADE, ladder_of
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import delta_uv_prime
from advisor.model import Gel, Locus, Seen
from tests.advice.rows import stronger
from tests.web.page import plain

STRONGER = ladder_of(stronger())
LADDERS = [TRADE.plus_green, TRADE.cto, TRADE.ctb, STRONGER.cto]
RUNGS = 13
"""On the spot, nearly, a touch, two below an eighth, seven gels, and more than that."""


@pytest.mark.parametrize("locus", Locus)
@pytest.mark.parametrize("entry", references("practice-words-"), ids=lambda e: e["id"])
def test_readings_are_described_as_the_trade_does(entry, locus):
    """Common practice, no source: the words for five readings."""
    reading, said = entry["value"], entry["value"][locus.value]
    ours = words.against_locus(reading["duv"], locus_duv(reading["cct"], locus), locus, TRADE)
    if said in ("almost on", "very close to"):  # ours are fewer: nobody hangs gel for the difference
        said = "on"
    where = f"the {locus.value.replace('planckian', 'Planckian')} locus"
    assert ours == (f"on {where}" if said == "on" else f"{said} against {where}")


@pytest.mark.parametrize("locus", Locus)
@pytest.mark.parametrize("off", [0.0005, -0.0005, 0.0007, -0.0007])
def test_what_is_less_than_a_step_off_a_locus_is_on_it(locus, off):
    """A step of CIE TN 001:2014 is 0.0011 in u′v′; across the locus that is 0.0008 of Duv near 5 000 K."""
    at = locus_duv(5000.0, locus)
    assert words.against_locus(at + off, at, locus, TRADE).startswith("on the ")
    seen = words.against_locus(at + (0.0009 if off > 0 else -0.0009), at, locus, TRADE)
    assert seen.startswith("a touch green" if off > 0 else "a touch magenta")


@pytest.mark.parametrize("fractions", LADDERS)
def test_the_ladder_never_falls_and_leaves_nothing_out(fractions):
    said = [words.amount(d, fractions) for d in np.linspace(0, 2.5 * fractions[-1], 20_001)]
    rungs = [a.rung for a in said]
    assert rungs == sorted(rungs)
    assert set(rungs) == set(range(RUNGS))
    runs = [text for text, _ in itertools.groupby(a.text for a in said)]
    assert len(runs) == len(set(runs)), "a text comes back further up"
    assert runs[0] == "" and all(runs[1:])


@pytest.mark.parametrize("fractions", LADDERS)
def test_a_gels_own_strength_is_about_that_gel(fractions):
    names = ["an eighth", "a quarter", "a half", "three quarters", "a full"]
    assert [words.amount(f, fractions).text for f in fractions] == [f"about {name}" for name in names]
    assert words.amount(2 * fractions[-1], fractions).text == "about two full"
    assert words.amount(9 * fractions[-1], fractions).text == "more than two full"


@given(st.floats(-1, 1), st.sampled_from(LADDERS))
def test_an_amount_has_no_direction(distance_, fractions):
    assert words.amount(distance_, fractions) == words.amount(-distance_, fractions)


@given(st.floats(0, 1), st.floats(0, 1), st.sampled_from(LADDERS))
def test_further_is_never_a_lower_rung(a, b, fractions):
    near, far = sorted((a, b))
    assert words.amount(near, fractions).rung <= words.amount(far, fractions).rung


@pytest.mark.parametrize(
    ("mired", "duv", "says"),
    [
        (0.0, 0.0, "on the target"),
        (40.0, 0.0, "about a quarter CTO too cool"),
        (-35.0, 0.0, "about a quarter CTB too warm"),
        (-40.0, 0.0, "a little over a quarter CTB too warm"),  # (40 − 35)/(70 − 35) is a seventh of the way
        (0.0, 0.0075, "about a quarter too magenta"),
        (0.0, -0.0075, "about a quarter too green"),
        (134.0, -0.0035, "about a full CTO too cool, about an eighth too green"),
        (3.0, 0.0, "a touch too cool"),
        (-3.0, -0.0009, "a touch too warm, a touch too green"),
        (-3.0, -0.0006, "a touch too warm"),  # nobody sees that green: it is less than a step
        (0.0, 0.0005, "on the target"),
        (-300.0, 0.1, "more than two full CTB too warm, more than two full too magenta"),
    ],
)
def test_a_shift_says_what_the_source_is_too_much_of(mired, duv, says):
    assert words.shift(mired, duv, TRADE) == says


@pytest.mark.parametrize(
    ("mired", "says"),
    [
        # The stronger series is 25, 65, 110, 160: common practice, from memory. 40 is three eighths of the
        # way from an eighth to a quarter, (40 − 25)/(65 − 25); 80 a third of that from a quarter to a half.
        (40.0, "a little over an eighth CTO too cool"),
        (65.0, "about a quarter CTO too cool"),
        (80.0, "a little over a quarter CTO too cool"),
        (134.0, "about three quarters CTO too cool"),
        (160.0, "about a full CTO too cool"),
        (-35.0, "about a quarter CTB too warm"),
    ],
)
def test_a_stronger_series_says_less_of_the_same_shift(mired, says):
    assert words.shift(mired, 0.0, STRONGER) == says
    assert words.beside(-mired, 0.0, STRONGER) != words.beside(mired, 0.0, STRONGER)


def test_what_is_wanted_is_a_fraction_of_the_gels_at_hand():
    assert words.exactly(80.0, 0.0, TRADE) == ("half a CTO warmer", "")
    assert words.exactly(80.0, 0.0, STRONGER) == (None, "")
    assert words.exactly(110.0, -0.0035, STRONGER) == ("half a CTO warmer", "an eighth more magenta")
    assert words.exactly(-70.0, 0.0, STRONGER) == ("half a CTB cooler", "")
    assert words.exactly(-80.0, 0.0, STRONGER) == (None, ""), "cooler is said in CTB"


@pytest.mark.parametrize(
    ("duv", "says"),
    [
        (0.00331, "on the daylight locus"),
        (0.0068, "about an eighth green against the daylight locus"),
        (-0.0002, "about an eighth magenta against the daylight locus"),
    ],
)
def test_green_and_magenta_are_told_apart(duv, says):
    assert words.against_locus(duv, 0.0033, Locus.DAYLIGHT, TRADE) == says


def test_what_the_eye_sees_grows_with_the_steps():
    said = [words.seen(s, 3.0) for s in np.linspace(0, 10, 1001)]
    order = ["matches", "close", "a bit off", "obvious"]
    assert [word for word, _ in itertools.groupby(said)] == order
    assert [words.seen(s, 3.0) for s in (1.0, 1.01, 3.0, 3.01)] == [order[0], order[1], order[1], order[2]]
    assert [words.seen(s, 3.0) for s in (7.0, 7.01)] == order[2:]


def test_near_enough_is_what_the_tolerance_says():
    assert words.seen(9.0, 10.0) == "close" and words.seen(10.5, 10.0) == "obvious"
    # Beyond a tolerance that is narrower than an eye it does not match, though nobody sees it.
    assert words.seen(0.3, 0.5) == "matches" and words.seen(0.8, 0.5) == "close"


@given(st.floats(0, 60), st.floats(0, 60), st.floats(0.1, 50))
def test_further_is_never_seen_less(a, b, tolerance):
    order = list(Seen)
    near, far = sorted((a, b))
    assert order.index(words.seen(near, tolerance)) <= order.index(words.seen(far, tolerance))


def test_it_is_said_with_its_verb():
    said = [words.is_seen(seen) for seen in Seen]
    assert said == ["matches", "is close", "is a bit off", "is obvious"]


@pytest.mark.parametrize(
    ("chance", "says"),
    [
        (0.0, "under 1 in 10"),
        (0.049, "under 1 in 10"),
        (0.06, "1 in 10"),
        (0.84, "8 in 10"),
        (0.94, "9 in 10"),
        (0.951, "over 9 in 10"),
        (1.0, "over 9 in 10"),
    ],
)
def test_a_chance_is_so_many_times_in_ten(chance, says):
    assert plain(words.in_ten(chance)) == says


def test_what_matches_needs_no_more_words():
    assert words.left_over(0.9, 2.0, 0.001, 3.0, TRADE) == "matches"
    assert words.left_over(17.9, 40.0, 0.0, 3.0, TRADE) == "obvious: about a quarter CTO too cool"


@given(
    st.floats(1500, 20000),
    st.floats(-0.03, 0.03),
    st.floats(-8, 8),
    st.floats(-0.004, 0.004),
    st.sampled_from([1.0, 3.0]),
)
def test_what_is_not_matched_is_never_called_on_the_target(cct, duv, mired, green, larger):
    """Three times the trade's is the largest that a table's gels are taken at."""
    after = 1e6 / (1e6 / cct - mired)
    here, there = (uv_of_cct_duv(np.array(c), np.array(d)) for c, d in ((cct, duv), (after, duv - green)))
    steps = float(delta_uv_prime(here, there)) / 0.0011
    ladder = ladder_of([Gel(family="CTO", fraction="1/8", mired=20 * larger)])
    assert "on the target" not in words.left_over(steps, mired, green, 3.0, ladder)


def test_what_is_seen_is_a_touch_at_least():
    # An eighth of 60 MK⁻¹, of which a touch is from 6 on; at 5 600 K 3 MK⁻¹ are more than a step.
    ladder = ladder_of([Gel(family="CTO", fraction="1/8", mired=60.0)])
    assert words.shift(3.0, 0.0, ladder) == "on the target"
    assert words.left_over(1.3, 3.0, 0.0001, 3.0, ladder) == "close: a touch too cool"
    assert words.beside(1.0, 0.0003, ladder) == "the same white"
    assert words.beside(1.0, 0.0003, ladder, visible=True) == "a touch greener"


@pytest.mark.parametrize(
    ("steps", "expected", "within", "said"),
    [
        (4.8, 9.2, 0.1, "a bit off"),
        (6.9, 12.0, 0.04, "a bit off"),
        (7.1, 7.1, 0.04, "obvious"),
        (7.1, 7.1, 0.5, "close"),
        (0.2, 9.0, 0.3, "a bit off"),
        (0.2, 0.9, 0.9, "matches"),
        (0.2, 1.4, 0.9, "close"),
    ],
)
def test_obvious_goes_by_the_steps_that_are_told_and_the_doubt_by_the_chance(steps, expected, within, said):
    """4.8 steps were obvious with much doubt, and 6.9 between two lights a bit off."""
    told = words.foreseen(steps, expected, within, 3.0)
    assert told == said
    if within < 0.45:
        assert told is words.seen(max(steps, 3.1), 3.0), "as what is compared without doubt"
