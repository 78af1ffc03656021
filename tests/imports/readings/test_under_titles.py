"""Tables beneath titles: what was wanted is not read; a name under two may be two lights. Invented."""

import pytest

from advisor.imports import read_readings

WANTED = (
    "WANTED\nLight\tCCT\tDuv\nMoon\t4800\t0\nPorch\t2400\t0\n\nGOT\nLight\tCCT\tDuv\nMoon\t5060\t0.0042\n"
)
STAGES = "Stage A\nname,cct,duv\nKey,5480,0.004\nFill,5510,0.003\n\nStage B\nname,cct,duv\nKey,5600,0.001\n"
DAYS = "Source\tCCT\tDuv\n12 Oct\nWindow\t6320\t0.005\nLamp\t2680\t-0.001\n13 Oct\nWindow\t5890\t0.0038\n"


def read(text, answers=None):
    rows = read_readings(text, answers or {}).rows
    return [(row.source.name, row.source.reading.cct) for row in rows if row.source]


def asked(text):
    return [(question.key, question.likely, question.lines) for question in read_readings(text).asked]


def test_what_was_wanted_is_not_read_before_somebody_says_so():
    assert read(WANTED) == [("Moon", 5060)]
    assert asked(WANTED) == [("wanted-3", "no", [3, 4])]
    assert read(WANTED, {"wanted-3": "yes", "headings": "several"}) == [
        ("WANTED Moon", 4800),
        ("Porch", 2400),
        ("GOT Moon", 5060),
    ]
    left = read_readings(WANTED, {"wanted-3": "no"}).left_out
    assert [(each.line, each.why) for each in left if each.line in (3, 4)] == [
        (3, "it was wanted"),
        (4, "it was wanted"),
    ]


@pytest.mark.parametrize("title", ["Targets", "Plan:", "Yesterday", "Sollwerte", "Objectifs", "## Wish list"])
def test_titles_that_say_so(title):
    assert asked(f"{title}\nname,cct,duv\nKey,5600,0\n") == [("wanted-3", "no", [3])]


@pytest.mark.parametrize("title", ["Stage plan", "Target stage", "Recce Tuesday", "Measured", "Need a lift"])
def test_titles_that_say_something_else(title):
    assert asked(f"{title}\nname,cct,duv\nKey,5600,0\n") == []


def test_a_name_under_two_titles_may_be_two_lights():
    assert read(STAGES) == [("Fill", 5510)]
    assert asked(STAGES) == [("headings", "several", [3, 8])]
    two = [("Stage A Key", 5480), ("Fill", 5510), ("Stage B Key", 5600)]
    assert read(STAGES, {"headings": "several"}) == two
    assert read(STAGES, {"headings": "again"}) == [("Key", 5480), ("Fill", 5510), ("Key", 5600)]


def test_under_dates_it_is_likely_the_same_light_read_again():
    assert asked(DAYS) == [("headings", "again", [3, 6])]
    paste = read_readings(DAYS, {"headings": "again"})
    assert [(s.name, [r.cct for r in (s.reading, *s.readings)]) for s in paste.sources] == [
        ("Window", [5890, 6320]),
        ("Lamp", [2680]),
    ]


SETS = (
    "Position\tCCT\tDuv\tLux\nLeft 1\t3180\t0.0006\t840\nLeft 2\t3215\t0.0009\t795\nLeft\t3198\t0.0008\t818\n"
    "Right 1\t3060\t-0.0004\t620\nRight 2\t3095\t-0.0002\t655\nRight\t3078\t-0.0003\t638\n"
)


def test_means_between_the_rows_are_left_out():
    assert read(SETS) == [("Left 1", 3180), ("Left 2", 3215), ("Right 1", 3060), ("Right 2", 3095)]
    left = [(each.line, each.why) for each in read_readings(SETS).left_out]
    assert left == [(n, "left out, it is the mean of the rows above") for n in (4, 7)]


def test_a_column_of_what_stands_in_front_names_nobody():
    text = "Lamp 1\tbare\t5595K\t0.0019\nLamp 1\tdome\t5420K\t0.0016\nLamp 2\tlantern\t5370K\t0.0020\n"
    assert [name for name, _ in read(text)] == ["Lamp 1", "Lamp 1", "Lamp 2"]
