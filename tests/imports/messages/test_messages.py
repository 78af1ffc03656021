"""Messages as people type and speak them. Every reading here is invented."""

import contextlib

import pytest

from advisor.imports import read_anything, read_readings
from advisor.model import Kind, Refused, Setting


def seen(text):
    return [
        (row.source.name, row.source.reading.cct, row.source.reading.duv, row.source.reading.lux)
        for row in read_readings(text).rows
        if row.source
    ]


KEY = ("key", 5480, 0.004, None)
LIT = ("key", 5480, 0.004, 850)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("key 5480 +.004", [KEY]),
        ("key 5480 .004 850", [LIT]),
        ("key 5480K plus .004 850 lux", [LIT]),
        ("key 5.48k +4 CC 850 lx", [LIT]),
        ("key 5480 4G 850lx", [LIT]),
        ("key 5480, duv point oh oh four, 850 lux", [LIT]),
        ("duv +.004 cct 5480 lux 850 key", [LIT]),
        ("key 850 lx, 5480 K, +0.004", [LIT]),
        ("key is at 5480 K, Duv +0.004", [KEY]),
        ("Bo: key 5480 +.004", [KEY]),
        ("[14:05] Bo: key 5480 +.004", [KEY]),
        ("12/03/2024, 14:05 - Bo: key 5480 +.004", [KEY]),
        ("<Bo> key 5480 +.004", [KEY]),
        ("> > key 5480 +.004", [KEY]),
        ("- key 5480 +.004", [KEY]),
        ("3. key 5480 +.004", [KEY]),
        ("“key 5480 +.004”", [KEY]),
        ("key 5480 +.004 14:20", [KEY]),
        ("ｋｅｙ ５４８０ ＋０．００４", [KEY]),
        ("key 5\u202f480 K +0.004", [KEY]),
        ("key,5480,0,004", [KEY]),
        ("key,5480,0,004,850", [LIT]),
        ("key;5480;0,004;850", [LIT]),
        ("key 5480 K, 0,004, 850 lx", [LIT]),
        ("key 5480+.004", [KEY]),
        ("key.....5480 K.....+0.004", [KEY]),
        ("key @ 5480k w/ +0.004 duv & 850 lux", [LIT]),
        ("Reading 1: 5480 K, +0.004", [("Reading 1", 5480, 0.004, None)]),
        ("target 5600, key 5480 +.004", [KEY]),
        ("key 5480+.004 fill 3190-.001", [KEY, ("fill", 3190, -0.001, None)]),
        ("key 5480 minus three", [("key", 5480, -0.003, None)]),
        ("key 5480 −.003", [("key", 5480, -0.003, None)]),
        ("key 5480 3M", [("key", 5480, -0.003, None)]),
        ("key 5480 3 CC magenta", [("key", 5480, -0.003, None)]),
        ("key 182 mired, Duv 0", [("key", pytest.approx(5494.5, abs=0.1), 0, None)]),
        ("key 5480 0.004 green", [KEY]),
        ("key 5480 plus two and a half", [("key", 5480, 0.0025, None)]),
        ("key 5480 minus two point five", [("key", 5480, -0.0025, None)]),
        ("key 5480 duv .004 green", [KEY]),
        ("key 5480 green .004", [KEY]),
        ("key 5480 green 4", [KEY]),
        ("fill 3190 0.001 magenta", [("fill", 3190, -0.001, None)]),
        ("panel A 5390 +.0127", [("panel A", 5390, 0.0127, None)]),
        ("tube 2 4300 +.012", [("tube 2", 4300, 0.012, None)]),
        ("key 5480 +.004 / fill 3190 -.001", [KEY, ("fill", 3190, -0.001, None)]),
        ("key 5480 +.004, fill 3190 -.001", [KEY, ("fill", 3190, -0.001, None)]),
        ("key 5480 +.004 fill 3190 -.001", [KEY, ("fill", 3190, -0.001, None)]),
        ("5480 +.004 key / 3190 -.001 fill", [KEY, ("fill", 3190, -0.001, None)]),
        ("key 5480 .004 850; fill 3190 -.001 400", [LIT, ("fill", 3190, -0.001, 400)]),
        ("key 5480 .004 850 fill 3190 -.001 400", [LIT, ("fill", 3190, -0.001, 400)]),
        ("5600 0.003\n3200 0.001", [("Source 1", 5600, 0.003, None), ("Source 2", 3200, 0.001, None)]),
        ("key 5480 .004\n\nlunch at one\nfill 3190 -.001\n", [KEY, ("fill", 3190, -0.001, None)]),
    ],
)
def test_what_is_said(text, expected):
    assert seen(text) == expected


@pytest.mark.parametrize("text", ["<Bo> key 5480 +.004", "0715 key 5480 +.004\n0730 fill 3190 -.001"])
def test_bytes_are_read_as_the_text_they_are(text):
    assert read_anything(text.encode()) == read_anything(text)


@pytest.mark.parametrize(
    ("text", "field", "expected"),
    [
        ("key 5480 .004 at 60%", "level", 60),
        ("key at 60 % 5480 .004", "level", 60),
        ("key 5480 .004 dim 60", "level", 60),
        ("key 5480 .004 with 1/2 CTO", "gels", ["CTO 1/2"]),
        ("key 5480 .004, ¼ plus green + ND.6", "gels", ["Plus green 1/4", "ND 0.6"]),
        ("key 5480 .004 through softbox", "modifier", "softbox"),
        ("key set to 5600 reads 5480 .004", "dial", Setting(cct=5600)),
    ],
)
def test_what_goes_with_it(text, field, expected):
    (row,) = read_readings(text).rows
    assert (row.source.name, row.source.reading.cct, row.source.reading.duv) == ("key", 5480, 0.004)
    assert getattr(row.source.reading, field) == expected


@pytest.mark.parametrize(
    ("text", "key", "asked", "kept"),
    [
        ("key 5840 +.004\nsorry, 5480 not 5840", "corrects-2", 5480, 5840),
        ("key 5840 +.004\n*5480", "corrects-2", 5480, 5840),
        ("key 5840 +.004\nmake that fifty-four eighty", "corrects-2", 5480, 5840),
    ],
)
def test_a_correction_is_asked_about_and_nothing_is_read_until_then(text, key, asked, kept):
    paste = read_readings(text)
    assert [question.key for question in paste.asked] == [key]
    assert paste.sources == []
    for answer, cct in (("yes", asked), ("no", kept)):
        assert [s.reading.cct for s in read_readings(text, {key: answer}).sources] == [cct]


def test_a_reading_that_is_taken_back_is_asked_about():
    text = "key 5480 +.004\nrim 4300 +.01\nscratch that last one"
    (question,) = read_readings(text).asked
    assert (question.key, question.says) == ("corrects-3", "Line 3 takes back rim, CCT 4300, Duv +.01")
    assert [s.name for s in read_readings(text, {"corrects-3": "yes"}).sources] == ["key"]
    assert [s.name for s in read_readings(text, {"corrects-3": "no"}).sources] == ["key", "rim"]


def test_whole_numbers_that_are_too_high_for_thousandths_are_asked_about():
    text = "key 5480 +42\nfill 3190 -10"
    assert read_readings(text).sources == []
    duvs = {
        answer: [round(s.reading.duv, 6) for s in read_readings(text, {"duv-scale": answer}).sources]
        for answer in ("tenths", "cc")
    }
    assert duvs == {"tenths": [0.0042, -0.001], "cc": [0.042, -0.01]}


def test_what_was_read_of_one_source_is_one_source():
    (source,) = read_readings("2k: bare 3180 -.001, with half blue 4270 +.0015").sources
    assert (source.name, source.reading.cct) == ("2k", 3180)
    assert [(r.cct, r.gels) for r in source.readings] == [(4270, ["CTB 1/2"])]


def test_kind_time_and_note():
    (row,) = read_readings("[14:05] Bo: key 5480 .004 tungsten, flickers").rows
    assert (row.time, row.source.kind, row.source.note) == ("14:05", Kind.TUNGSTEN, "flickers")


def test_a_reading_behind_gel_is_not_the_one_of_the_bare_source():
    paste = read_readings("key 5480 .004\nkey 3400 .003 with 1/2 CTO\n")
    (source,) = paste.sources
    assert (source.reading.cct, [r.gels for r in source.readings]) == (5480, [["CTO 1/2"]])


def test_readings_on_one_line_have_places_of_their_own():
    rows = read_readings("key 5480 .004 60% / fill 3190 -.001\nkey 5300 .004 30%\n").rows
    assert [(row.line, row.part, row.key) for row in rows] == [(1, 0, "1"), (1, 1, "1.1"), (2, 0, "2")]
    assert [row.of for row in rows] == [(1, 0), (1, 1), (1, 0)]


def test_a_line_that_is_not_understood_costs_that_line():
    paste = read_readings("key 5480 .004\nfill 3190 12 -.001 7\nback 3200 0\nthanks, all")
    assert [row.source.name if row.source else None for row in paste.rows] == ["key", None, "back"]
    assert paste.rows[1].text == "fill 3190 12 -.001 7"
    assert "it is not clear what '12' is" in paste.rows[1].problems[0].says
    assert [(left.line, left.text) for left in paste.left_out] == [(4, "thanks, all")]


@pytest.mark.parametrize(
    "text",
    [
        "call time 0700, lunch 1300",
        "scene 24 take 3, ISO 800, T2.8",
        "order 5000 sandbags and 0.03 of something",
        "key 5480 .004 .002",
        "12 5480 .004",
        "key 5480 -2/3 stop",
        "key was 5480 +.004, now 5520 +.003",
        "a;b;c\n5480;5481;0.001\n5482;5483;0.002",
        "key left, window right, 5480 .004",
        "meet at 5480 Main Street",
        "lunch 1300 plus 4 extras",
        "take the 5000 +2 van",
        "we shot 3200 feet plus 4 rolls",
        "two thousand plus four people on set",
        "don't use the key 5480 +.004",
        "if key is 5600 +.004 then gel",
        "key should be 5600 +.004",
        "key target 5600 +.004",
        "was key 5480 +.004?",
        "window between 6500 and 6900, plus three",
        "key 5840 -> 5480 +.004",
        "key 5480, half a point green",
        "key 5480 +42",
    ],
)
def test_nothing_is_read_that_is_not_there(text):
    with contextlib.suppress(Refused):
        assert [row.source for row in read_readings(text).rows if row.source] == []


@pytest.mark.parametrize(
    ("text", "held", "likely", "then"),
    [
        ("key 5480 +4 300-350 lx", None, "325 lx, the middle", ("key", 5480, 0.004, 325)),
        ("key 5480 +4-6", 1, "Duv +0.0050, the middle", ("key", 5480, 0.005, None)),
        ("key 5480 plus 4 or 6", 1, "Duv +0.0050, the middle", ("key", 5480, 0.005, None)),
        ("Cam A 4800 +6", 1, "Leave it out", None),
        ("key should be 5600 +.004", 1, "Leave it out", None),
        ("key 5840 +4\nsorry 5480", 1, "Take CCT 5480", KEY),
    ],
)
def test_what_is_not_sure_is_asked_with_the_likeliest_meaning_as_a_button(text, held, likely, then):
    (question,) = read_readings(text).asked
    assert question.lines == [1]
    (row,) = read_readings(text).rows
    assert (row.source is None) == (held is not None)
    (words,) = [reply.words for reply in question.choices if reply.value == question.likely]
    assert words == likely
    rows = read_readings(text, {question.key: question.likely}).rows
    seen_then = [
        (r.source.name, r.source.reading.cct, r.source.reading.duv, r.source.reading.lux)
        for r in rows
        if r.source
    ]
    assert seen_then == ([pytest.approx(then)] if then else [])


def test_what_was_read_after_all_is_read():
    text = "key should be 5600 +.004"
    (question,) = read_readings(text).asked
    (row,) = read_readings(text, {question.key: "yes"}).rows
    assert (row.source.name, row.source.reading.cct) == ("key", 5600)


def test_of_a_line_that_is_not_clear_the_line_is_mended():
    text = "Key 5480 +.0042, Back 3215 -.0008, lux 900 and 120"
    rows = read_readings(text).rows
    assert all(row.source is None and row.cells == [] for row in rows)
    mended = read_readings(text, {"line-1": "Key 5480 +.0042 900 lx, Back 3215 -.0008 120 lx"}).rows
    assert [row.source.reading.lux for row in mended] == [900, 120]


@pytest.mark.parametrize(
    "text",
    ["Cam A 4800 tint +6", "we need 5600 on the big window by 2:30", "set the panels to 4300 pls"],
)
def test_what_is_wanted_or_set_is_left_out_beside_what_was_read(text):
    paste = read_readings(f"{text}\nkey 5480 +.004")
    assert [row.source.name for row in paste.rows if row.source] == ["key"]


def test_a_number_behind_an_at_sign_is_a_level():
    (row,) = read_readings("Key 5610 +.002 @80").rows
    assert (row.source.reading.level, row.source.reading.lux) == (80, None)
