"""Tables with other signs than usual, columns that are swapped, and rows that lost their first cell."""

import pytest

from advisor.imports import read_readings


def read(text, answers=None):
    return [
        (row.source.name, row.source.reading.cct, row.source.reading.duv, row.source.reading.lux)
        for row in read_readings(text, answers).rows
        if row.source
    ]


TWO = [("Window, left", 6420, 0.0042, 1900), ("Desk bulb", 2790, -0.001, 45)]


@pytest.mark.parametrize(
    "text",
    [
        "> Name | CCT | Duv | lux\n> -----+-----+-----+----\n> Window, left | 6420 | 0.0042 | 1900\n"
        "> Desk bulb | 2790 | -0.0010 | 45\n>\n> sent from the floor",
        ">> Name\tCCT\tDuv\tlux\n>> Window, left\t6420\t0.0042\t1900\n>> Desk bulb\t2790\t-0.0010\t45\n",
        "Name / CCT / Duv / lux\nWindow, left / 6420 / 0.0042 / 1900\nDesk bulb / 2790 / -0.0010 / 45\n",
        "Name - CCT - Duv - lux\nWindow, left - 6420 - 0.0042 - 1900\nDesk bulb - 2790 - -0.0010 - 45\n",
        "the two of today:\nName • CCT • Duv • lux\nWindow, left • 6420 • 0.0042 • 1900\n"
        "Desk bulb • 2790 • -0.0010 • 45\nthat is all",
    ],
    ids=["quoted", "quoted twice", "strokes", "dashes", "dots"],
)
def test_cells_are_told_apart_whatever_is_drawn_between_them(text):
    assert read(text) == TWO


def test_a_pipe_in_front_of_a_row_parts_an_empty_cell_where_the_headings_have_none():
    text = "room | lamp | CCT | Duv\nhall | a | 4100 | 0.0084\n | b | 4080 | 0.0090\n"
    assert [(cct, duv) for _, cct, duv, _ in read(text)] == [(4100, 0.0084), (4080, 0.009)]


@pytest.mark.parametrize(
    "text",
    [
        "Light,CCT [K],Lux,Duv\nwindow,840,5900,0.0036\nlamp,65,2720,-0.0013\n",
        "Light\tDuv\tCCT\tLux\nwindow\t5900\t0.0036\t840\nlamp\t2720\t-0.0013\t65\n",
    ],
    ids=["light", "Duv"],
)
def test_two_columns_that_look_swapped_are_asked_about_before_a_row_is_read(text):
    paste = read_readings(text)
    assert [(q.key, q.likely) for q in paste.asked] == [("swapped", "yes")]
    assert not any(row.source for row in paste.rows)
    assert read(text, {"swapped": "yes"}) == [("window", 5900, 0.0036, 840), ("lamp", 2720, -0.0013, 65)]
    assert not read(text, {"swapped": "no"})


def test_of_two_columns_without_headings_that_can_be_the_cct_the_other_is_the_light():
    text = "win a\t5980\t3400\t0.0033\nlamp\t2760\t2900\t-0.0010\n"
    paste = read_readings(text)
    assert [q.key for q in paste.asked] == ["which-CCT"]
    assert not any(row.source for row in paste.rows)
    assert read(text, {"which-CCT": "2"}) == [("win a", 5980, 0.0033, 3400), ("lamp", 2760, -0.001, 2900)]
    assert read(text, {"which-CCT": "3"}) == [("win a", 3400, 0.0033, 5980), ("lamp", 2900, -0.001, 2760)]


def test_a_row_under_the_sign_of_a_standard_deviation_is_left_out():
    text = "|  | CCT | Duv |\n|--|--|--|\n| tile 1 | 5480 | 0.0021 |\n| **mean** | 5476 | 0.0025 |\n"
    paste = read_readings(text + "| **σ** | 53 | 0.0006 |\n")
    assert [row.source.name for row in paste.rows] == ["tile 1"]
    assert [line.line for line in paste.left_out if "summary" in line.why] == [4, 5]


def test_mired_behind_a_heading_of_the_colour_temperature_is_its_unit():
    ((_, cct, _, _),) = read("Name\tColour temperature [mired]\tDuv\nwindow\t161\t0.0033\n")
    assert cct == pytest.approx(1e6 / 161)
