"""Green that goes with the gels for warm and cool, where no minus green hangs; what makes it surer."""

import re

import pytest

from advisor.model import Reading, Source, Stage, Target, Work
from advisor.web.sentences import surer
from tests.advice.lamps import plan

WARM_TUBE = Source(name="Tube", kind="fluorescent", reading=Reading(cct=3200, duv=0.012))


def test_what_the_gels_for_cool_take_out_is_said_from_the_prediction():
    made = plan(WARM_TUBE)
    assert made.alone.advice.needed.cc < -7.5
    gels = made.alone.first.gels
    assert gels and all(gel.startswith("CTB") for gel in gels)
    said = made.side_effect(0)
    found = re.fullmatch(r"The CTB takes (\d+) CC of green out as well\.", said)
    after = made.alone.first.after
    assert found and int(found[1]) == pytest.approx(12.0 - 1000 * after.duv, abs=0.51)


def test_where_minus_green_hangs_or_none_is_needed_nothing_is_said():
    green = plan(Source(name="HID", kind="discharge", reading=Reading(cct=4300, duv=0.012)))
    assert any(gel.startswith("Minus green") for gel in green.alone.first.gels)
    assert green.side_effect(0) == ""
    clean = plan(Source(name="Head", kind="tungsten", reading=Reading(cct=3200, duv=0.0)))
    assert clean.alone.first.gels and clean.side_effect(0) == ""


def test_an_unknown_kind_hears_that_its_kind_would_make_it_surer():
    unknown = Source(name="Thing", reading=Reading(cct=3200, duv=0.0))
    head = plan(unknown).alone
    assert head.best.uncertainty_steps > 3
    assert surer(head) == "Choose the kind: that makes it surer."
    assert surer(plan(unknown.model_copy(update={"kind": "tungsten"})).alone) == ""
    near = plan(unknown, target=Target(cct=3200, locus="planckian")).alone
    assert near.best.uncertainty_steps < 3 and surer(near) == ""
    work = Work(stage=Stage.PLANNED, gels=["CTB full"])
    assert surer(plan(unknown.model_copy(update={"work": work})).alone)
