"""What a person says of a pasted text counts before what it looks like. Every reading here is invented."""

import pytest

from advisor.imports import read_readings
from advisor.imports.readings.answers import MEANINGS, heading_said
from advisor.imports.readings.mending import likely
from advisor.imports.readings.result import Sure
from advisor.imports.vocabulary.headings import Field
from advisor.model import Refused

UNKNOWN = "Lamp;Warmth;CCT;Duv\nKey;5480;5600;0.0042\nRim;3190;3200;-0.0003\n"


def readings(text, **answers):
    chosen = {key.replace("_", "-"): value for key, value in answers.items()}
    return [(s.name, s.reading.cct, s.reading.duv) for s in read_readings(text, chosen).sources]


def test_a_column_holds_what_it_is_said_to_hold():
    assert readings(UNKNOWN) == [("Key", 5600, 0.0042), ("Rim", 3200, -0.0003)]
    assert readings(UNKNOWN, column_2="cct") == [("Key", 5480, 0.0042), ("Rim", 3190, -0.0003)]


def test_a_scale_is_chosen_with_it():
    ((name, cct, duv),) = readings("Lamp;CCT;Duv\nKey;5.48;4.2\n", column_2="cct-k", column_3="duv-m")
    assert (name, cct, duv) == ("Key", pytest.approx(5480), pytest.approx(0.0042))


def test_a_column_that_is_left_out_is_not_used():
    text = "name,CCT,Duv,lux\nKey,5480,0.0042,900\n"
    assert read_readings(text).sources[0].reading.lux == 900
    assert read_readings(text, {"column-4": "-"}).sources[0].reading.lux is None


def test_every_column_says_what_it_was_taken_for_and_what_is_in_it():
    found = read_readings(UNKNOWN, {"column-2": "cct"})
    taken = {c.heading: (c.key, c.field, c.sure, c.answer) for c in found.columns}
    assert taken["Warmth"] == ("column-2", "cct", Sure.CHOSEN, "cct")
    assert taken["Duv"] == ("column-4", "duv", Sure.SAID, "")
    (left,) = found.unused
    assert (left.heading, left.key, left.why) == ("CCT", "column-3", "Warmth is used as the CCT")
    assert left.examples == ["5600", "3200"]


def test_headings_are_in_the_line_that_is_said():
    text = "CCT and Duv of day 3\nstage 2\nwho\tCCT\tDuv\nKey\t5480\t0.0042\n"
    found = read_readings(text, {"headings": "3"})
    assert (found.columns[0].heading, found.columns[0].sure) == ("who", Sure.LIKELY)
    assert readings(text, headings="3") == [("Key", 5480, 0.0042)]
    assert readings(text, headings="3", column_1="note") == [("Source 1", 5480, 0.0042)]
    assert [q.says for q in found.shape][1] == "Headings are in line 3"


def test_headings_that_nobody_knows_leave_their_columns_to_be_said():
    text = "wer;warm;ab\nKey;5480;0.0042\n"
    found = read_readings(text, {"headings": "1"})
    assert [(c.key, c.field) for c in found.columns] == [
        ("column-1", "name"),
        ("column-2", "cct"),
        ("column-3", "duv"),
    ]
    assert {c.sure for c in found.columns} == {Sure.LIKELY}
    chosen = {"column_1": "name", "column_2": "cct", "column_3": "duv"}
    assert readings(text, headings="1", **chosen) == [("Key", 5480, 0.0042)]


def test_rows_and_columns_are_swapped():
    text = "name;Key;Rim\nCCT;5480;3190\nDuv;0,0042;-0,0003\n"
    assert readings(text, turned="yes") == [("Key", 5480, 0.0042), ("Rim", 3190, -0.0003)]


def test_a_line_can_be_typed_anew():
    text = "name,CCT,Duv\nKey,56000,0.001\nRim,3200,0\n"
    assert readings(text, line_2="Key,5600,0.001") == [("Key", 5600, 0.001), ("Rim", 3200, 0)]


@pytest.mark.parametrize(
    ("row", "heading", "value", "words"),
    [
        ("Key,56000,0.001", "CCT", "5600", "5 600 K"),
        ("Key,56OO,0.001", "CCT", "5600", "5 600 K"),
        ("Key,5600,0.42", "Duv", "0.0042", "Duv +0.0042"),
        ("Key,5600,-4.2", "Duv", "-0.0042", "Duv −0.0042"),
    ],
)
def test_a_cell_says_what_it_probably_means_and_is_mended_in_place(row, heading, value, words):
    text = f"name,CCT,Duv\n{row}\n"
    (bad,) = read_readings(text).rows
    (cell,) = bad.cells
    assert bad.source is None
    assert cell.heading == heading
    assert cell.likely is not None
    assert (cell.likely.value, cell.likely.words.replace("\u202f", " ")) == (value, words)
    (good,) = read_readings(text, {cell.key: cell.likely.value}).rows
    assert good.source is not None


def test_what_nobody_can_guess_has_no_likely_meaning():
    assert likely(Field.CCT, "warm") is None
    assert likely(Field.LUX, "0") is None
    assert likely(Field.CCT, "0") is None


@pytest.mark.parametrize("value", [reply.value for reply in MEANINGS])
def test_every_meaning_that_is_offered_can_be_chosen(value):
    found = read_readings("a;CCT;Duv\n1;5600;0\n", {"column-1": value})
    columns = {c.key: c for c in [*found.columns, *found.unused]}
    assert columns["column-1"].answer == value
    assert (heading_said(value) is None) == (value == "-")


NOWHERE = [{"column-9": "cct"}, {"column-1": "q"}, {"headings": "x"}, {"headings": "99"}, {"line-99": "a"}]


@pytest.mark.parametrize("answers", NOWHERE)
def test_an_answer_that_the_text_has_no_place_for_says_nothing(answers):
    assert read_readings(UNKNOWN, answers).sources == read_readings(UNKNOWN).sources


def test_a_text_that_cannot_be_swapped_stays_as_it_is():
    with pytest.raises(Refused):
        read_readings("hello", {"turned": "yes"})
