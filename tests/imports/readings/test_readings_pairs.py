"""Readings as ``name: value`` lines and as one short line. Every reading here is invented."""

import pytest

from advisor.imports import read_readings
from advisor.model import Refused


def seen(paste):
    return [(s.name, s.reading.cct, s.reading.duv, s.reading.lux) for s in paste.sources]


@pytest.mark.parametrize(
    "text",
    [
        "CCT: 5600 K\nDuv: 0.003\nE: 900 lx\n\nName: Fill\nTcp: 3200\nDuv: -0.001\n",
        "CCT = 5600\nDuv = 0,003\nlux = 900\n\n\nName = Fill\nCCT = 3.200\nDuv = −0,001",
        "CCT: 5600\nDuv: 0.003\nlux: 900\nFill:\nCCT: 3200\nDuv: -0.001",
        "CCT: 5600\nDuv: 0.003\nlux: 900\nFill\nCCT: 3200\nDuv: -0.001\n",
        "CCT: 5600; Duv: 0.003; lux: 900\nName: Fill; CCT: 3200; Duv: -0.001",
        "CCT: 5600, Duv: 0.003, lux: 900\nName: Fill, CCT: 3200, Duv: -0.001",
        "CCT\t5600\nDuv\t0.003\nE\t900 lx\n\nName\tFill\nCCT\t3200\nDuv\t-0.001",
        "CCT,5600\nDuv,0.003\nE,900 lx\n\nName,Fill\nCCT,3200\nDuv,-0.001",
        "CCT 5600 K\nDuv 0.003\nIlluminance 900 lx\n\nFill\nColour temp 3200\nDuv −0.001",
        "CCT：5600\nDuv：0.003\nlx：900\n\nname：Fill\nCCT：3200\nDuv：-0.001",
    ],
)
def test_two_readings_in_many_shapes(text):
    assert seen(read_readings(text)) == [("Source 1", 5600, 0.003, 900), ("Fill", 3200, -0.001, None)]


def test_a_repeated_heading_begins_the_next_reading():
    text = "CCT: 5600\nDuv: 0.003\nCCT: 3200\nDuv: 0\n"
    paste = read_readings(text)
    assert [(r.line, r.text) for r in paste.rows] == [
        (1, "CCT: 5600\nDuv: 0.003"),
        (3, "CCT: 3200\nDuv: 0"),
    ]


def test_what_belongs_to_no_reading_is_listed():
    text = "Invented meter\n\nSerial: 12\n\nKey\nCCT: 5600\nDuv: 0.003\nGain: 95\nmired: 179\n\nBy hand\n"
    paste = read_readings(text)
    assert seen(paste) == [("Key", 5600, 0.003, None)]
    expected = [
        "Invented meter",
        "Serial: 12",
        "By hand",
        "Gain",
        "mired: mired is worked out from the CCT here",
    ]
    assert paste.ignored == expected


def test_only_the_measured_values_tell_the_decimal_mark():
    paste = read_readings("Date: 05.02\nCCT: 5600\nDuv: 0,001\nlux: 1.250")
    assert paste.sources[0].reading.lux == 1250


@pytest.mark.parametrize(
    ("text", "where", "says"),
    [
        ("CCT: warm\nDuv: 0\n", "line 2, CCT", "'warm' is not a number"),
        ("CCT: 5600\nDuv: 3\n", "line 3, Duv", "(0.0003 or 0.003?)"),
        ("CCT: 5600\nTcp: 5600\nDuv: 0\n", "line 2", "both give CCT"),
    ],
)
def test_a_reading_that_is_not_understood_blocks_no_other(text, where, says):
    wrong, right = read_readings(f"\n{text}\nCCT: 3200\nDuv: 0\n").rows
    assert wrong.source is None and wrong.text == text.rstrip("\n")
    assert [(p.where, says in p.says) for p in wrong.problems] == [(where, True)]
    assert right.source.reading.cct == 3200


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("5600 0.003", ("Source 1", 5600, 0.003, None)),
        ("5600 K, 0.003, 900 lx", ("Source 1", 5600, 0.003, 900)),
        ("\n5600 K, 0,003, 900 lx\n", ("Source 1", 5600, 0.003, 900)),
        ("5600;-0,003;900", ("Source 1", 5600, -0.003, 900)),
        ("5600\t0.003\t10 fc", ("Source 1", 5600, 0.003, 10 / 0.3048**2)),
        ("5,600 K  −0.003", ("Source 1", 5600, -0.003, None)),
        ("5600,0.003,900", ("Source 1", 5600, 0.003, 900)),
        ("Key light, 5600 K, 0.003, 900 lx", ("Key light", 5600, 0.003, 900)),
        ("Key light, 5600 K 0.003", ("Key light", 5600, 0.003, None)),
        ("Key light 5600 K 0.003 900 lx", ("Key light", 5600, 0.003, 900)),
        ("Bay 12 1200 5600 0.003", ("Bay 12 1200", 5600, 0.003, None)),
        ("Key light: 5600 K, 0.003", ("Key light", 5600, 0.003, None)),
        ("5600,0,003", ("Source 1", 5600, 0.003, None)),  # a decimal comma: 0 and 3 lx it is not
        ("Key | 5600 | 0.003 | 1.250 lx", ("Key", 5600, 0.003, 1.25)),
    ],
)
def test_one_line_without_headings(text, expected):
    assert seen(read_readings(text)) == [pytest.approx(expected)]


@pytest.mark.parametrize(
    "text",
    [
        "5600 0.003 900 50",
        "5600 3.2",
        "900 0.003",
        "5600 lx, 0.003",
        "5600, 0.003, bright",
        "0.33 0.34",
        "12 34 5600 0.003",
        "Key, 900, 5600, 0.003",
        "Key;left;5600;0.003",
        "Key: left, 5600, 0.003, 900, 12",
    ],
)
def test_numbers_without_headings_are_not_guessed_at(text):
    with pytest.raises(Refused) as refused:
        read_readings(text)
    (problem,) = refused.value.problems
    assert "no headings" in problem.says


@pytest.mark.parametrize("text", ["5600", "5600 K", "hello", "lunch at 1\nback on set by 2:30"])
def test_talk_is_not_told_that_headings_lack(text):
    with pytest.raises(Refused) as refused:
        read_readings(text)
    (problem,) = refused.value.problems
    assert "no line of it tells a reading" in problem.says
    assert "name, CCT, Duv, lux" in problem.allowed


def test_a_row_without_a_colour_is_mended_by_cct_and_duv():
    text = "name,CCT,Duv,lux\nKey,5600,0.004,900\nPractical,n/a,,40\n"
    (cct, duv) = read_readings(text).rows[1].cells
    assert [cct.heading, duv.heading, duv.likely.value] == ["CCT", "Duv", "0"]
    row = read_readings(text, {cct.key: "2700", duv.key: "-0.001"}).rows[1]
    assert (row.source.name, row.source.reading.cct, row.source.reading.lux) == ("Practical", 2700, 40)


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ("name,CCT,x,y", "par,3220,0.3995,0.4225"),
        ("name,CCT,Duv,x,y", "par,3220,0.0003,0.3995,0.4225"),
        ("name;CCT (K);x;y", "par;3220;0,3995;0,4225"),
    ],
)
def test_x_and_y_in_each_others_columns_are_swapped_with_one_tap(head, row):
    # The Planckian radiator of 3 220 K is at x = 0.422, y = 0.399 (from memory).
    text = f"{head}\n{row}\n"
    paste = read_readings(text)
    [question] = [q for q in paste.asked if q.key == "quarrel"]
    assert (question.likely, question.choices[0].words) == ("swap", "Swap x and y")
    assert not paste.sources
    reading = read_readings(text, {"quarrel": "swap"}).rows[0].source.reading
    assert reading.xy == pytest.approx((0.4225, 0.3995)) or (reading.cct, reading.duv) == (3220, 0.0003)
