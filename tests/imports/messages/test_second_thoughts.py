"""What is taken back, swapped, or cannot be: it is asked about. Every reading is invented."""

import pytest

from advisor.imports import read_readings


def read(text, answers=None):
    paste = read_readings(text, answers)
    return [(r.source.name, r.source.reading.cct, r.source.reading.duv) for r in paste.rows if r.source]


def questions(text):
    return {q.key: q.likely for q in read_readings(text).asked}


@pytest.mark.parametrize(
    ("text", "corrected"),
    [
        ("> key is 5840 +.004\nNo mate that's 5480, the +.004 is right", ("key", 5480, 0.004)),
        ("key 5840 +.004\nnope, 5480", ("key", 5480, 0.004)),
        ("key 5840 +.004\nNo, that's .0014", ("key", 5840, 0.0014)),
        ("Führung 5840 +.004\nnein das sind 5480", ("Führung", 5480, 0.004)),
        ("key 5840 +.004\n*.0014", ("key", 5840, 0.0014)),
    ],
)
def test_who_says_no_corrects_what_stands_before(text, corrected):
    assert questions(text) == {"corrects-2": "yes"}
    assert read(text) == []
    assert read(text, {"corrects-2": "yes"}) == [corrected]
    assert read(text, {"corrects-2": "no"}) == [(corrected[0], 5840, 0.004)]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("key 5600 +.001\nno 4 5610 +.002", ["key", "no 4"]),
        ("key 5600 +.001\nno gel 5610 +.002", ["key", "key (2)"]),
    ],
)
def test_a_number_or_no_gel_corrects_nothing(text, names):
    assert not any(key.startswith("corrects") for key in questions(text))
    assert [name for name, *_ in read(text)] == names


def test_names_that_are_swapped_are_asked_about():
    text = "lamp A 2700 -2, lamp B 2750 -1.5\noops A and B are swapped"
    assert questions(text) == {"swaps-2": "yes"}
    assert read(text) == []
    assert read(text, {"swaps-2": "yes"}) == [("lamp B", 2700, -0.002), ("lamp A", 2750, -0.0015)]
    assert read(text, {"swaps-2": "no"}) == [("lamp A", 2700, -0.002), ("lamp B", 2750, -0.0015)]


@pytest.mark.parametrize("text", ["window 5900 duv .04", "tungsten fresnel 3200 +.025", "sign 5900 -.04"])
def test_a_duv_that_the_kind_does_not_have_is_asked_about(text):
    # From memory: without a gel no daylight or tungsten is 0.02 off the locus, and no white 0.03.
    assert questions(text) == {"far-1.0": "tenth"}
    assert read(text) == []
    ((_, _, written),) = read(text, {"far-1.0": "no"})
    assert read(text, {"far-1.0": "tenth"})[0][2] == pytest.approx(written / 10)


@pytest.mark.parametrize("text", ["tube 4000 +.025", "window 5900 +.02", "window 5900 +.04 with plus green"])
def test_a_duv_that_the_kind_or_its_gel_may_have_is_read(text):
    assert len(read(text)) == 1
    assert "far-1.0" not in questions(text)


def test_a_sentence_above_readings_at_levels_names_their_source():
    ladder = "100%  5610  +.001\n50%   5590  +.002\nbelow 10 it just flickers"
    said = read("Dim curve for the ceiling tile like you asked\n" + ladder)
    assert [name.removesuffix(" (2)") for name, *_ in said] == ["ceiling tile"] * 2
    other = read("everybody is still waiting for the key\n5610 +.001\nfill 5590 +.002")
    assert [name for name, *_ in other] == ["Source 1", "fill"]


def test_a_modifier_that_is_a_source_too_is_one_beside_others():
    text = "beauty dish 5580 2G, bounce 5600 0, backlight 5640 1M"
    assert read(text) == [("beauty dish", 5580, 0.002), ("bounce", 5600, 0), ("backlight", 5640, -0.001)]
    own = "book light: muslin 5300 +.001, bounce 5200 +.002"
    assert {name.removesuffix(" (2)") for name, *_ in read(own)} == {"book light"}
