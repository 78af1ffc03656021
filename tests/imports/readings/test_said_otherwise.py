"""What columns and lines say in words that were not in the vocabulary. Common practice, no source."""

import pytest

from advisor.imports import read_readings


@pytest.mark.parametrize(
    "word", ["bare", "sans", "keine", "ohne Folie", "sin filtro", "ninguno", "nessuna", "geen", "なし"]
)
def test_a_cell_that_says_nothing_hung_names_no_gel(word):
    paste = read_readings(f"Lamp\tGel\tCCT\tDuv\nKey\t{word}\t5480\t0.004\nBack\t½ CTO\t3900\t0.001\n")
    assert [row.source.reading.gels for row in paste.rows if row.source] == [[], ["CTO 1/2"]]


def test_a_gel_of_a_crews_own_that_has_a_number_hung():
    paste = read_readings("Lamp\tGel\tCCT\tDuv\nKey\tNo 12\t5480\t0.004\nBack\t½ CTO\t3900\t0.001\n")
    assert [row.source.reading.gels for row in paste.rows if row.source] == [["No 12"], ["CTO 1/2"]]


@pytest.mark.parametrize(("heading", "cells"), [("Power %", ("50", "80")), ("Power", ("50%", "80%"))])
def test_power_in_per_cent_is_a_dim_level(heading, cells):
    text = f"Light\tCCT\tDuv\t{heading}\nKey\t5480\t0.004\t{cells[0]}\nFill\t3190\t0.001\t{cells[1]}\n"
    assert [r.source.reading.level for r in read_readings(text).rows if r.source] == [50, 80]


@pytest.mark.parametrize("heading", ["Light level", "Helligkeit", "Brightness", "Niveau", "明るさ"])
def test_a_column_that_says_light_is_proposed_as_lux(heading):
    paste = read_readings(f"Name\tCCT\tDuv\t{heading}\nKey\t5480\t0.004\t1240\nFill\t3190\t0.001\t60\n")
    assert [row.source.reading.lux for row in paste.rows if row.source] == [1240, 60]
    assert [c.sure.value for c in paste.columns if c.heading == heading] == ["likely"]


@pytest.mark.parametrize("line", ["Stand: 70 %", "Output: 70%", "調光: 70%", "Livello: 70 %"])
def test_a_line_in_per_cent_says_the_dim_level(line):
    text = f"Lamp: Jukebox\nCCT: 3460 K\nDuv: -0.0085\n{line}\n"
    assert [row.source.reading.level for row in read_readings(text).rows if row.source] == [70]


def test_a_line_of_green_is_in_cc():
    text = "Source: Key\nCCT: 5480 K\nGreen: 4\nE: 1240\n\nSource: Fill\nCCT: 3190 K\nGreen: -1\nE: 600\n"
    read = [(r.source.name, r.source.reading.duv) for r in read_readings(text).rows if r.source]
    assert read == [("Key", 0.004), ("Fill", -0.001)]


def test_a_comma_within_a_heading_parts_no_columns():
    text = (
        "Luce               CCT     x,y               lux\n"
        "Quinta di luce     5530    0,332 / 0,344     930\n"
        "Lampada lettura    2720    0,456 / 0,407     64\n"
    )
    read = [r.source.reading for r in read_readings(text).rows if r.source]
    assert [(reading.xy, reading.lux) for reading in read] == [((0.332, 0.344), 930), ((0.456, 0.407), 64)]


@pytest.mark.parametrize(("heading", "cell"), [("Temp", "5510 K"), ("Temp", "5510"), ("Colour", "5510")])
def test_a_cct_without_a_duv_is_known_by_its_heading_or_unit(heading, cell):
    paste = read_readings(f"Light\tOutput\t{heading}\tFootcandles\nKey\t75%\t{cell}\t120 fc\n")
    assert [question.key for question in paste.asked] == ["column-3", "duv"]
    [row] = paste.rows
    assert row.source is not None
    assert (row.source.reading.cct, row.source.reading.level) == (5510, 75)


def test_running_numbers_of_units_are_their_names_and_those_of_rows_are_not():
    rows = "CCT\tDuv\n1\t5590\t0.001\n2\t5640\t0.002\n"
    assert [row.source.name for row in read_readings(f"Unit\t{rows}").rows if row.source] == ["1", "2"]
    assert not any(row.named for row in read_readings(f"No\t{rows}").rows)
