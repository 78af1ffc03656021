"""Green that goes with the gels for warm and cool, where no minus green hangs; what makes it surer."""

import re

import pytest

from advisor.advice.answer.one_stack import predict_stack
from advisor.advice.plan.questions import kind_question, side_effect
from advisor.advice.ranking.green_side_effect import green_taken_out
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import Gel, Reading, Shift, Source, Stage, Target, Work
from tests.advice.lamps import LIMITS, SHIPPED, TARGET, plan

WARM_TUBE = Source(name="Tube", kind="fluorescent", reading=Reading(cct=3200, duv=0.012))


def test_what_the_gels_for_cool_take_out_is_said_from_the_prediction():
    made = plan(WARM_TUBE)
    assert made.alone.advice.needed.cc < -7.5
    gels = made.alone.first.gels
    assert gels and all(gel.startswith("CTB") for gel in gels)
    said = side_effect(made, 0)
    found = re.fullmatch(r"The CTB takes (\d+) CC of green out as well\.", said)
    after = made.alone.first.after
    assert found and int(found[1]) == pytest.approx(12.0 - 1000 * after.duv, abs=0.51)


def test_where_minus_green_hangs_or_none_is_needed_nothing_is_said():
    green = plan(Source(name="HID", kind="discharge", reading=Reading(cct=4300, duv=0.012)))
    assert any(gel.startswith("Minus green") for gel in green.alone.first.gels)
    assert side_effect(green, 0) == ""
    clean = plan(Source(name="Head", kind="tungsten", reading=Reading(cct=3200, duv=0.0)))
    assert clean.alone.first.gels and side_effect(clean, 0) == ""


def taken_out(gels, needed_cc=-10.0, rows=SHIPPED, kind="fluorescent", cct=3200, duv=0.012):
    """Return what is said of a stack on a tube that needs so much green, and its Duv bare and behind CTB."""
    source = Source(name="Tube", kind=kind, reading=Reading(cct=cct, duv=duv))
    gel_arrays = gel_arrays_of(tuple(rows))
    bare = prepare(source, gel_arrays, white_of(TARGET, []))
    needed = Shift(mired=-100.0, duv=None if needed_cc is None else needed_cc / 1000, cc=needed_cc, words="")
    after = predict_stack(bare, LIMITS, gel_arrays, [g for g in gels if g.startswith("CTB")]).after
    said = green_taken_out(bare, needed, predict_stack(bare, LIMITS, gel_arrays, gels), gel_arrays)
    return said, 1000 * (duv - after.duv)


@pytest.mark.parametrize(
    ("needed", "told"),
    [(-30.0, True), (-7.5, True), (-7.4, False), (7.5, False), (30.0, False), (None, False)],
)
def test_it_is_said_where_a_quarter_of_minus_green_or_more_is_needed(needed, told):
    assert bool(taken_out(["CTB full"], needed)[0]) is told


def test_a_quarter_is_the_tables():
    rows = [row.model_copy(update={"cc": -9.0}) if row.name == "Minus green 1/4" else row for row in SHIPPED]
    assert [bool(taken_out(["CTB full"], needed, rows)[0]) for needed in (-8.9, -9.0)] == [False, True]


def test_two_cc_are_worth_a_word_and_less_is_not():
    near = []
    for cct in range(2800, 4400, 200):
        for gel in ("CTB 1/8", "CTB 1/4", "CTB 1/2", "CTB 3/4"):
            said, out = taken_out([gel], cct=cct)
            assert bool(said) is (out >= 2.0), (cct, gel, out)
            near.append(out)
    assert any(1.4 < out < 2 for out in near) and any(2 < out < 2.8 for out in near)


def test_only_gels_that_warm_or_cool_are_counted():
    alone, out = taken_out(["CTB full"])
    assert alone == f"The CTB takes {out:.0f} CC of green out as well."
    assert taken_out(["CTB full", "Plus green 1/4"])[0] == alone
    assert taken_out(["CTB full", "ND 0.3"])[0] == alone
    assert taken_out(["Plus green 1/4"])[0] == taken_out([])[0] == ""
    assert taken_out(["CTB full", "Minus green 1/8"])[0] == "", "one hangs, so nobody asks"


def test_behind_what_is_no_white_any_more_nothing_is_said():
    source = Source(name="Sky", kind="daylight", reading=Reading(cct=15000, duv=0.012))
    gel_arrays = gel_arrays_of(tuple(SHIPPED))
    bare = prepare(source, gel_arrays, white_of(TARGET, []))
    stack = predict_stack(bare, LIMITS, gel_arrays, ["CTB full"])
    assert stack.after.cct is None
    assert green_taken_out(bare, Shift(mired=-100.0, duv=-0.01, cc=-10.0, words=""), stack, gel_arrays) == ""


def test_several_families_are_named_once_each():
    rows = [*SHIPPED, Gel(family="Pale blue", fraction="1/2", mired=-60.0)]
    said, _ = taken_out(["CTB full", "CTB 1/2", "Pale blue 1/2"], rows=rows)
    assert re.fullmatch(r"The CTB and Pale blue take \d+ CC of green out as well\.", said)
    assert taken_out(["CTB full", "CTB 1/2"])[0].startswith("The CTB takes ")


def test_an_unknown_kind_is_asked_about_where_its_kind_would_make_the_answer_surer():
    unknown = Source(name="Thing", reading=Reading(cct=3200, duv=0.0))
    made = plan(unknown)
    best = made.alone.best
    assert best.uncertainty_steps > 3
    assert kind_question(made, 0)
    assert kind_question(plan(unknown.model_copy(update={"kind": "tungsten"})), 0) is None
    near = plan(unknown, target=Target(cct=3200, locus="planckian"))
    assert near.alone.best.uncertainty_steps < 3 and kind_question(near, 0) is None
    work = Work(stage=Stage.PLANNED, gels=best.gels)
    assert kind_question(plan(unknown.model_copy(update={"work": work})), 0)
    far = plan(unknown.model_copy(update={"work": Work(stage=Stage.PLANNED, gels=[])}))
    assert far.alone.best.within == 0
    assert kind_question(far, 0) is None, "bare no lamp of any kind comes near"
