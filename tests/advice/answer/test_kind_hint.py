"""Which sources are asked what lamp they are."""

import gc
import weakref

import pytest

from advisor.advice.answer.kind_first import asked_first
from advisor.advice.plan.questions import by_hand, kind_question
from advisor.advice.readings.chromaticity import measure
from advisor.model import Kind, Reading, Source, WantedOffset
from tests.advice.lamps import plan


def of(cct, duv, kind="unknown", **more):
    return Source(name="Outside", kind=kind, reading=Reading(cct=cct, duv=duv, **more))


@pytest.mark.parametrize(
    ("cct", "duv", "asked"),
    [
        (2199, 0.0, True),
        (2201, 0.0, False),
        (1766, 0.0070, True),
        (2000, 0.0099, True),
        (2000, -0.0101, False),
    ],
)
def test_below_2_200_k_near_the_locus_it_is_asked_first(cct, duv, asked):
    source = of(cct, duv)
    assert (asked_first(source, measure(source.reading)) is not None) == asked


@pytest.mark.parametrize("figure", [{"ra": 17}, {"rf": 40}, {"ssi": 30, "ssi_reference": "P2000"}])
def test_a_meter_that_printed_how_colours_look_has_said_it(figure):
    source = of(1970, 0.0, **figure)
    assert asked_first(source, measure(source.reading)) is None


def test_what_is_to_be_left_as_it_is_is_not_asked_about():
    left = of(1970, 0.0).model_copy(update={"aim": WantedOffset(leave=True)})
    assert plan(of(1970, 0.0)).alone.asks and plan(left).alone.asks is None


def test_every_kind_that_reads_so_is_a_tap_and_no_other():
    found = kind_question(plan(of(3200, 0.0)), 0)
    assert set(found.kinds) == set(Kind) - {Kind.UNKNOWN, Kind.SODIUM}
    assert Kind.SODIUM in kind_question(plan(of(2300, 0.0)), 0).kinds


def test_what_no_gel_brings_near_stays_bare_and_is_not_asked_about():
    found = plan(of(2450, 0.0))
    assert found.alone.beyond is not None and found.alone.best.gels == []
    assert kind_question(found, 0) is None


def test_what_was_asked_of_a_plan_goes_with_it():
    """Two thousand plans stood in memory, each with the heads as they were once."""
    asked = plan(of(3200, 0.0))
    assert kind_question(asked, 0) is kind_question(asked, 0) is not None
    here = weakref.ref(asked)
    del asked
    gc.collect(0)
    assert here() is None


@pytest.mark.parametrize("cct", [2600, 3200, 4000])
def test_the_question_stands_where_kinds_differ_and_their_answers_are_surer(cct):
    asked = plan(of(cct, 0.002))
    assert kind_question(asked, 0) is not None
    now = asked.alone.best
    for kind in ("tungsten", "fluorescent-triband"):
        told = by_hand(plan(of(cct, 0.002, kind)), 0, now.gels)
        assert told.uncertainty_steps < now.uncertainty_steps


@pytest.mark.parametrize("source", [of(5600, 0.0032), of(3200, 0.0, "tungsten"), of(1970, 0.0)])
def test_where_it_tells_little_is_known_or_was_asked_there_is_none(source):
    assert kind_question(plan(source), 0) is None
