"""What a page says of a head's dials."""

import pytest

from advisor.advice.dials.wording import dial_words
from advisor.advice.wording.ladder import TRADE, ladder_of
from advisor.model import Gel, Reading, Source
from tests.advice.heads import NO_GREEN, REACH, dial, head, read
from tests.web.page import plain

NARROW = "\N{NARROW NO-BREAK SPACE}"


def reads(cct, duv=0.0, at=5600, **more):
    return Reading(cct=cct, duv=duv, dial=dial(at), **more)


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (reads(5420), "With its dial at 5 600 K it reads 5 420 K."),
        (reads(5790), "With its dial at 5 600 K it reads 5 790 K."),
        (reads(5604), "It reads what its dial says at 5 600 K."),
        (reads(5420, 0.0036), "With its dial at 5 600 K it reads 5 420 K. It is about an eighth green."),
        (reads(5600, -0.0076), "It reads what its dial says at 5 600 K. It is about a quarter magenta."),
    ],
)
def test_what_it_reads_against_its_dial(reading, said):
    assert dial_words(head([reading]), TRADE).mapping.replace(NARROW, " ") == said


def test_its_green_is_said_in_the_tables_gels():
    weaker = ladder_of([Gel(family="Minus green", fraction="1/4", cc=-5.0)])
    said = dial_words(head([reads(5600, -0.0051)]), weaker).mapping
    assert said.endswith("It is about a quarter magenta.")


def test_how_many_readings_it_rests_on():
    assert plain(dial_words(head([dial(5600)]), TRADE).fitted) == "Fitted from 1 reading."
    assert (
        plain(dial_words(head([dial(3200), dial(4300), dial(5600)]), TRADE).fitted)
        == "Fitted from 3 readings."
    )


def test_what_was_worked_out_is_no_reading():
    settings = head([dial(3200), dial(4300), dial(5600)])
    said = dial_words(settings, TRADE, worked_out=True).fitted
    assert plain(said) == "Fitted from 2 readings."


@pytest.mark.parametrize(
    ("settings", "reach", "todo"),
    [
        ([dial(5600)], REACH, "second CCT"),
        ([dial(3200), dial(5600)], REACH, "green dial"),
        ([dial(3200), dial(5600)], NO_GREEN, ""),
        ([dial(3200, 5), dial(5600)], REACH, ""),
    ],
)
def test_what_to_read_next(settings, reach, todo):
    said = dial_words(head(settings, reach), TRADE).todo
    assert todo in said and bool(todo) == bool(said)


def test_a_head_that_was_never_read_asks_for_its_dial():
    said = dial_words(Source(name="Head", reading=Reading(cct=5600, duv=0.0), reach=REACH), TRADE)
    assert said.todo == "Read it once with its dial noted." and "gels alone" in said.mapping


def test_nothing_is_said_of_a_head_without_dials():
    assert dial_words(head([dial(5600)], reach=None), TRADE) is None


def test_what_is_known_of_its_light():
    assert "As bright at every setting" in dial_words(head([dial(3200), dial(5600)]), TRADE).light
    lit = head([read(dial(3200), lux=300), read(dial(5600), lux=500)])
    assert dial_words(lit, TRADE).light.endswith("from the lux at 2 settings.")
