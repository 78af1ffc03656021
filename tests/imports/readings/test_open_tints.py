"""Columns of green and magenta whose unit is open are asked about. Common practice, no source."""

import pytest

from advisor.imports import read_readings


def _table(heading, first, second):
    return f"Light\tCCT\t{heading}\tlux\nKey\t5540\t{first}\t1200\nFill\t5510\t{second}\t480\n"


def _duvs(paste):
    return [row.source and row.source.reading.duv for row in paste.rows]


@pytest.mark.parametrize("heading", ["Tint", "TINT", "Teinte", "Green", "Grün", "Verde", "+/-"])
def test_a_tint_without_a_unit_is_not_read_before_it_is_known(heading):
    text = _table(heading, "+1.5", "-2")
    paste = read_readings(text)
    assert _duvs(paste) == [None, None]
    [question] = [q for q in paste.asked if q.key == "column-3"]
    assert question.likely == "cc" and question.lasting
    assert _duvs(read_readings(text, {"column-3": "cc"})) == [0.0015, -0.002]
    left = read_readings(text, {"column-3": "-"})
    assert all(row.source and row.source.reading.duv_assumed for row in left.rows)


def test_a_tint_that_runs_far_is_likely_a_cameras_own():
    [question] = [q for q in read_readings(_table("Tint", "+12", "-20")).asked if q.key == "column-3"]
    assert question.likely == "-"


@pytest.mark.parametrize(
    ("heading", "first", "second", "expected"),
    [
        ("Tint", "2G", "1M", [0.002, -0.001]),
        ("Tint", ".0021", "-.0015", [0.0021, -0.0015]),
        ("Tint CC", "2", "-1", [0.002, -0.001]),
        ("Green (CC)", "+2", "-1", [0.002, -0.001]),
        ("G/M CC", "2", "-1", [0.002, -0.001]),
        ("mDuv", "4.2", "-1.1", [0.0042, -0.0011]),
        ("1000 Duv", "4.2", "-1.1", [0.0042, -0.0011]),
    ],
)
def test_what_says_its_unit_is_read(heading, first, second, expected):
    assert _duvs(read_readings(_table(heading, first, second))) == pytest.approx(expected)


def test_green_beside_red_and_blue_is_an_emitter():
    paste = read_readings("Light\tCCT\tRed\tGreen\tBlue\nKey\t5480\t20\t18\t17\nFill\t3190\t25\t18\t9\n")
    assert [c.heading for c in paste.unused] == ["Red", "Green", "Blue"]
    assert [q.key for q in paste.asked] == ["duv"]
