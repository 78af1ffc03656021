"""Sentences around readings, each with what they tell. All of them are invented."""

import pytest

from advisor.imports import read_readings
from advisor.imports.prose.gist import Talk, gist_of, is_prose
from advisor.imports.prose.series import is_series, names_of, numbers_of, with_series_held
from advisor.imports.vocabulary.headings import Field


def told(*lines):
    talk = Talk()
    found = [each for line in lines for each in gist_of(line, talk)]
    return [(each.name, each.cells[Field.CCT], each.cells.get(Field.DUV)) for each in found]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["sconce reads 2710 +.001 and hob 2890"], [("sconce", "2710", "+.001"), ("hob", "2890", None)]),
        (["cyc left 5600 mid 5580"], [("cyc left", "5600", None), ("cyc mid", "5580", None)]),
        (["Left tube 3200. Same for the right"], [("Left tube", "3200", None), ("tube right", "3200", None)]),
        (["key and fill 5600 and 5480"], [("key", "5600", None), ("fill", "5480", None)]),
        (["key and fill are both 5600"], [("key", "5600", None), ("fill", "5600", None)]),
        (["5600 +.002, that's the balloon"], [("balloon", "5600", "+.002")]),
        (["2k at the door reads 3180, key 3220"], [("2k at the door", "3180", None), ("key", "3220", None)]),
        (["heads 1 and 3: 5600"], [("head 1", "5600", None), ("head 3", "5600", None)]),
        (["heads 1 and 3 are dead", "2 is 5450"], [("head 2", "5450", None)]),
        (["the lamp says 2700 on the label but the pendant reads 2815"], [("pendant", "2815", None)]),
        (["can the fill come up to 5600? it's at 5350 now"], [("fill", "5350", None)]),
        (["fill now 5510, was 5600 before you moved it"], [("fill", "5510", None)]),
        (["get the key up to 5600 pls, at the moment 5350"], [("key", "5350", None)]),
        (["we want the key at 4300, fill at 4300"], []),
        (["window 5480, not 5840"], [("window", "5480", None)]),
        (["Mo says the balloon's 5520, I had 5610"], [("balloon", "5610", None)]),
    ],
)  # fmt: skip
def test_a_sentence_tells_of_each_source(lines, expected):
    assert told(*lines) == expected


def test_a_figure_for_all_goes_to_each():
    found = gist_of("key 3950, fill 5600, both at 60 %", Talk())
    assert [each.cells[Field.LEVEL] for each in found] == ["60 %", "60 %"]


def test_what_only_the_gist_finds_is_asked_and_read_when_it_is_confirmed():
    text = "heads 1 to 3 are labelled 5600 but all 3200 plus 2"
    (question,) = [q for q in read_readings(text).asked if q.key == "says-1"]
    assert question.likely == "yes"
    assert [row.source for row in read_readings(text).rows] == [None, None, None]
    rows = read_readings(text, {question.key: "yes"}).rows
    assert [(row.source.name, row.source.reading.cct) for row in rows] == [
        (f"head {n}", 3200) for n in (1, 2, 3)
    ]
    left = read_readings(text, {question.key: "no"})
    assert [row for row in left.rows if row.source] == []


def test_a_line_that_two_readers_read_alike_is_not_asked():
    assert read_readings("well the key is 5600 +.002 and the fill 5480 +.004 which is fine by me").asked == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "heads 1 to 2 are all 3200 plus 2, the rest is dead",
            [("head 1", 3200, 0.002), ("head 2", 3200, 0.002)],
        ),
        (
            "sconce 2710 +.001 and the key still 4400 with three CC of green",
            [("sconce", 2710, 0.001), ("key", 4400, 0.003)],
        ),
        ("rest is key 5605 +.001 at 80%", [("key", 5605, 0.001)]),
        (
            "east 2455 / +.0002\nsconces west wall 2460 / ditto",
            [("east", 2455, 0.0002), ("sconces west wall", 2460, 0.0002)],
        ),
    ],
)
def test_a_line_that_is_plain_is_not_asked(text, expected):
    paste = read_readings(text)
    assert paste.asked == []
    assert [(r.source.name, r.source.reading.cct, r.source.reading.duv) for r in paste.rows] == expected


@pytest.mark.parametrize(
    "text",
    [
        "heads 1 to 3 are all 3200 plus 2, not 4",
        "who wrote 6500 for the window?? I just got 5900 +.003",
        "cyc left 5600 mid 5580 right 5640, green everywhere about 4 thousandths",
    ],
)
def test_a_line_with_a_word_that_denies_is_asked(text):
    assert "says-1" in [question.key for question in read_readings(text).asked]


def test_a_wish_is_left_out_and_not_asked_about():
    paste = read_readings("key 3180 -.0012\nWe're going for 3200 on everything but the window.")
    assert [row.source.reading.cct for row in paste.rows] == [3180]
    assert [left.line for left in paste.left_out] == [2]
    assert paste.asked == []


def test_two_senses_of_a_line_are_both_on_buttons():
    text = "Left softbox 5420 +.0015. Same for the right one"
    (question,) = read_readings(text).asked
    assert [reply.value for reply in question.choices] == ["yes", "other", "no"]
    assert len(read_readings(text, {question.key: "yes"}).rows) == 2
    assert len(read_readings(text, {question.key: "other"}).rows) == 1


@pytest.mark.parametrize("text", ["5600 3.2", "Key, 900, 5600, 0.003", "12 34 5600 0.003"])
def test_figures_with_hardly_a_word_are_not_prose(text):
    assert not is_prose(text)


def test_series_are_counted():
    assert numbers_of("1 to 4") == [1, 2, 3, 4]
    assert numbers_of("1, 3 and 5") == [1, 3, 5]
    assert numbers_of("4 to 1") == []
    held, noun = with_series_held("tubes 2 and 4: 3200", "")
    assert noun == "tube"
    assert names_of(held.split(":")[0]) == ["tube 2", "tube 4"]
    assert is_series("heads 1-3 3200")
    assert not is_series("with 1/4 CTO 4520 K")
