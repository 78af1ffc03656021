"""Ra, R9, Rf, Rg and SSI beside the colour of a reading. Every reading here is invented."""

import pytest

from advisor.imports import read_readings


def figures(source):
    reading = source.reading
    return (reading.ra, reading.r9, reading.rf, reading.rg, reading.ssi, reading.ssi_reference)


@pytest.mark.parametrize(
    "text",
    [
        "CCT,Duv,Ra,R9,Rf,Rg,SSI P3200\n3200,0,95.5,-12,91,101,84\n",
        "Tcp;Duv;CRI;CRI R9;TM-30 Rf;TM-30 Rg;SSI (3200 K)\n3200;0;95,5;−12;91;101;84\n",
        "CCT: 3200\nRa: 95.5\nR9: -12\nRf: 91\nRg: 101\nSSI [P3200]: 84\nDuv: 0\n",
        "CCT 3200 K\nRa 95.5\nR9 -12\nRf 91\nRg 101\nSSI P3200 84\nDuv 0\n",
    ],
)
def test_figures_of_a_reading(text):
    (row,) = read_readings(text).rows
    assert row.problems == []
    assert figures(row.source) == (95.5, -12, 91, 101, 84, "P3200")
    assert (row.source.reading.cct, row.source.reading.duv) == (3200, 0)


def test_they_stand_beside_x_and_y_and_may_be_missing():
    first, second = read_readings("x,y,Ra,SSI D55\n0.33,0.34,90,\n0.33,0.34,--,70\n").sources
    assert figures(first) == (90, None, None, None, None, None)
    assert figures(second) == (None, None, None, None, 70, "D5500")


@pytest.mark.parametrize(
    ("heading", "cell", "says"),
    [
        ("Ra", "950", "Ra 950 is out of range, and is left out"),
        ("R9", "-301", "R9 -301 is out of range, and is left out"),
        ("Rf", "101", "Rf 101 is out of range, and is left out"),
        ("Rg", "20", "Rg 20 is out of range, and is left out"),
        ("SSI P3200", "120", "SSI 120 is out of range, and is left out"),
        ("Ra", "good", "Ra 'good' is not a number, and is left out"),
    ],
)
def test_a_figure_that_cannot_be_is_left_out_and_the_row_says_why(heading, cell, says):
    (row,) = read_readings(f"CCT;Duv;{heading}\n5600;0;{cell}\n").rows
    assert figures(row.source) == (None,) * 6
    assert [(p.where, p.says) for p in row.problems] == [(f"line 2, column {heading}", says)]
    assert " to " in row.problems[0].allowed


def test_a_figure_alone_is_no_reading():
    paste = read_readings("Ra: 95\n\nCCT: 5600\nDuv: 0\n")
    assert [figures(s)[0] for s in paste.sources] == [None]
    assert paste.ignored == ["Ra: 95"]


def test_of_several_columns_the_likeliest_is_used():
    paste = read_readings("CCT,Duv,CRI,Ra,SSI,SSI P3200,SSI D5600\n5600,0,80,90,1,30,85\n")
    assert figures(paste.sources[0]) == (90, None, None, None, 30, "P3200")
    assert paste.ignored == [
        "CRI: Ra is used as the Ra",
        "SSI: SSI needs its reference in the heading, as in SSI P3200",
        "SSI D5600: SSI P3200 is used as the SSI",
    ]
    assert ("SSI P3200", "SSI against P3200") in [(c.heading, c.meaning) for c in paste.columns]


def test_ssi_without_a_reference_is_not_used():
    paste = read_readings("CCT,Duv,SSI\n5600,0,80\n")
    assert figures(paste.sources[0]) == (None,) * 6
    assert paste.ignored == ["SSI: SSI needs its reference in the heading, as in SSI P3200"]
