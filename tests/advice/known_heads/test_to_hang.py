"""What to hang on a tested head: the same as an advice request for the same light and white."""

import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.known_heads.to_hang import colour_of, nominal_cct, to_hang, whites_at
from advisor.advice.readings.chromaticity import measure
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import (
    ON_SET,
    AdviceRequest,
    HeadSetup,
    Kind,
    KnownHead,
    Limits,
    Locus,
    Seen,
    Setting,
    Source,
    Target,
)
from tests.heads import PANEL, read

BARE = HeadSetup("")


def shipped_rows():
    return shipped_gels().rows


@pytest.mark.parametrize("locus", list(Locus))
def test_it_is_what_the_ranking_puts_first(locus):
    target = Target(cct=5600, locus=locus)
    readings = [read(100, lux=2000), read(10, cct=5640, duv=0.0031, lux=200)]
    gels = shipped_rows()
    for reading, found in zip(readings, to_hang(Kind.LED_WHITE, readings, target, gels), strict=True):
        source = Source(name="Panel 3", kind=Kind.LED_WHITE, reading=colour_of(reading))
        asked = AdviceRequest(target=target, sources=[source], **Limits(accuracy=ON_SET).model_dump())
        [answer] = advise(asked, gels).sources
        assert list(found.gels) == answer.stacks[0].gels


def test_a_head_an_eighth_magenta_of_daylight_gets_plus_green():
    [found] = to_hang(Kind.LED_WHITE, [read(100)], Target(cct=5813, locus="daylight"), shipped_rows())
    assert found.gels == ("Plus green 1/8",)


def test_a_head_on_the_white_stays_bare():
    [found] = to_hang(
        Kind.TUNGSTEN, [read(100, cct=3200, duv=0.0)], whites_at(3200)[Locus.PLANCKIAN], shipped_rows()
    )
    assert found.gels == ()
    assert found.seen is Seen.MATCHES


def test_a_head_that_reads_as_none_of_its_kind_is_taken_as_one_of_no_known_kind():
    green = read(100, cct=5600, duv=0.03)
    [found] = to_hang(Kind.TUNGSTEN, [green], Target(cct=5600), shipped_rows())
    assert found == to_hang(Kind.UNKNOWN, [green], Target(cct=5600), shipped_rows())[0]


@pytest.mark.parametrize(
    ("head", "setup", "cct", "expected"),
    [
        (PANEL, BARE, 5813, 5600),
        (PANEL, BARE, 2900, 3200),
        (KnownHead(name="Panel", nominal=4300), BARE, 5813, 4300),
        (KnownHead(name="Tube"), HeadSetup("", Setting(cct=4000)), 3900, 4000),
    ],
)
def test_what_a_head_is_held_against(head, setup, cct, expected):
    assert nominal_cct(head, setup, measure(read(100, cct=cct, duv=0.0))) == expected


def test_below_4000_k_there_is_no_daylight():
    assert list(whites_at(3200)) == [Locus.PLANCKIAN]
