"""Readings that give no Duv count as Duv 0, and say so; what is hardly a reading is asked about. Invented."""

import pytest

from advisor.imports import read_readings
from advisor.imports.head_test import read_head_test
from advisor.model import Refused

TABLE = "name,CCT,Duv\nKey,5600,\nFill,3200,0.001\n"
PAIRS = "Name: Key\nCCT: 5600\n\nName: Fill\nCCT: 3200\nDuv: 0.001\n"
MESSAGE = "key 5600\nfill 3200 +.001"
JSON = '[{"name": "Key", "cct": 5600}, {"name": "Fill", "cct": 3200, "duv": 0.001}]'


def read(text, **answers):
    sources = read_readings(text, answers).sources
    return [(s.name.casefold(), s.reading.duv, s.reading.duv_assumed) for s in sources]


@pytest.mark.parametrize("text", [TABLE, PAIRS, MESSAGE, JSON])
def test_a_duv_that_nobody_gives_counts_as_0_and_that_is_said(text):
    (asked,) = read_readings(text).asked
    assert asked.says.casefold() == "key has no duv: it counts as 0 until metered"
    assert (asked.open, asked.blocks) == (True, False)
    assert read(text) == [("key", 0, True), ("fill", 0.001, False)]
    assert read(text, duv="0") == read(text)


@pytest.mark.parametrize("text", [TABLE, PAIRS, MESSAGE, JSON])
def test_it_is_left_out_where_somebody_says_so(text):
    assert read(text, duv="no") == [("fill", 0.001, False)]
    (bad,) = [row for row in read_readings(text, {"duv": "no"}).rows if row.source is None]
    assert bad.problems[0].says == "Duv is missing beside the CCT 5600"


def test_one_that_is_mended_was_given():
    assert read(TABLE, **{"cell-2-Duv": "0"}) == [("key", 0, False), ("fill", 0.001, False)]


def test_only_some_of_many_are_named():
    (asked,) = read_readings("name,CCT\n" + "".join(f"Row {n},5600\n" for n in range(9))).asked
    assert asked.says == (
        "Row 0, Row 1, Row 2, Row 3, Row 4, Row 5 and 3 more have no Duv: they count as 0 until metered"
    )


@pytest.mark.parametrize("text", ["meet at 5480 by the gate", "key 5480 -2/3 stop"])
def test_a_message_that_may_tell_no_reading_is_asked_about(text):
    paste = read_readings(text)
    assert [row.source for row in paste.rows] == [None]
    assert [(q.key, q.blocks) for q in paste.asked] == [("duv", True)]
    assert [row.source.reading.duv_assumed for row in read_readings(text, {"duv": "0"}).rows] == [True]


def test_a_mean_with_one_that_was_not_metered_is_none_that_was():
    text = "key 5600 at 50%\nkey 5500 +.002 at 50%"
    (mean,) = read_readings(text, {"repeats": "mean"}).sources
    assert (mean.reading.duv, mean.reading.duv_assumed) == (pytest.approx(0.001), True)


def test_the_test_of_a_head_takes_none_that_was_not_metered():
    with pytest.raises(Refused, match="Duv is missing"):
        raise Refused(list(read_head_test("level,CCT\n50,5600\n").problems))
