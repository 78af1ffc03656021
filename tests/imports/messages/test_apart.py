"""Messages in which names and figures stand apart, are in order, or give light alone. Invented."""

import pytest

from advisor.imports import read_readings

BOTH = [("key", 5480, 0.004), ("fill", 3190, -0.001)]


def _read(text, **answers):
    rows = read_readings(text, answers).rows
    return [(r.source.name, r.source.reading.cct, r.source.reading.duv) for r in rows if r.source]


@pytest.mark.parametrize(
    "text",
    [
        "key/fill 5480/3190 +.004/-.001",
        "key / fill 5480 / 3190, +.004 / -.001",
        "key/fill: 5.48k/3.19k duv +.004/-.001",
        "CCT key 5480, fill 3190\nDuv key +.004, fill -.001",
        "CCT: key 5480 fill 3190\nDuv: key .004 fill -.001",
        "Kelvin key 5480; fill 3190\nDuv fill -.001; key +.004",
    ],
)
def test_names_before_figures_go_with_them(text):
    assert _read(text) == BOTH


def test_the_light_of_both_goes_with_them():
    text = "CCT key 5480, fill 3190\nDuv key +.004, fill -.001\nlux key 1200, fill 400"
    rows = read_readings(text).rows
    assert [r.source.reading.lux for r in rows if r.source] == [1200, 400]


def test_two_sides_of_one_light_keep_its_name():
    assert [name for name, *_ in _read("windows L/R 4300/4350 +.001/+.002")] == ["windows L", "windows R"]


@pytest.mark.parametrize("text", ["7: 5480 +.004\n8: 3190 -.001", "#7 5480 +.004\n#8 3190 -.001"])
def test_heads_that_are_called_by_a_number_alone(text):
    assert _read(text) == [("No 7", 5480, 0.004), ("No 8", 3190, -0.001)]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        (
            "Three windows on the north side. First one is 6120 +.005, second 6150 +.005, third 6480 +.007",
            ["first window", "second window", "third window"],
        ),
        ("two lamps by the bed, first one 2700 -.001, other 2750 -.002", ["first lamp", "other lamp"]),
        (
            "three tubes: first is 4080 +.009, the second one is 4120 +.010, the third reads 4200 +.011",
            ["first tube", "second tube", "third tube"],
        ),
    ],
)
def test_lights_that_are_told_by_their_order(text, names):
    paste = read_readings(text)
    [question] = paste.asked
    assert [row.source for row in paste.rows] == [None] * len(names)
    assert [name for name, *_ in _read(text, **{question.key: "yes"})] == names


@pytest.mark.parametrize("text", ["fenêtre 6 250 K  +0,004  2 100 lux", "fenêtre 6 250 K  2 100 lux"])
def test_thousands_of_lux_behind_a_wide_gap(text):
    [row] = read_readings(text).rows
    assert row.source is not None and row.source.reading.lux == 2100


class TestLightAlone:
    def test_is_no_reading_and_its_colour_can_be_told(self):
        text = "key 5480 +.004\nfill 400 lx"
        first, second = read_readings(text).rows
        assert first.source is not None and first.source.reading.lux is None
        assert second.source is None and second.called == "fill"
        assert [cell.heading for cell in second.cells] == ["CCT", "Duv"]
        told = {"cell-2-CCT": "3190", "cell-2-Duv": "-.001"}
        mended = read_readings(text, told).rows[1].source
        assert mended is not None
        assert (mended.name, mended.reading.cct, mended.reading.lux) == ("fill", 3190, 400)

    @pytest.mark.parametrize(
        "text",
        [
            "just levels this time: key 650 lux, fill 240. colours haven't changed",
            "lux: key 650, fill 240",
            "key at 650 lux\nfill at 240 lux",
        ],
    )
    def test_of_several_sources(self, text):
        assert [(row.called, row.source) for row in read_readings(text).rows] == [
            ("key", None),
            ("fill", None),
        ]

    def test_of_a_source_that_was_read_goes_to_it(self):
        rows = read_readings("key 5480 +.004\nfill 3190 -.001\nkey 1200 lux, fill 400").rows
        assert [row.source.reading.lux for row in rows if row.source] == [1200, 400]

    def test_that_is_wanted_is_none(self):
        assert len(read_readings("key 5480 +.004\naim for fill 400 lux").rows) == 1


@pytest.mark.parametrize(
    ("line", "now"),
    [
        ("sorry the fill is the back", "back"),
        ("what I called fill is actually the kicker", "kicker"),
        ("the fill is actually the back, sorry", "back"),
        ("oops, fill should read back", "back"),
    ],
)
def test_a_line_without_figures_names_a_reading_anew(line, now):
    text = f"key 5480 +.004\nfill 3190 -.001\n{line}"
    paste = read_readings(text)
    assert [row.source is None for row in paste.rows] == [False, True]
    assert _read(text, **{paste.asked[0].key: "yes"})[1] == (now, 3190, -0.001)
    assert _read(text, **{paste.asked[0].key: "no"}) == BOTH


def test_names_that_are_swapped_are_those_that_the_line_says():
    text = "key 5480 +.004\nfill 3190 -.001\nback 4300 +.002\noops key and fill are swapped"
    paste = read_readings(text)
    assert [row.source is None for row in paste.rows] == [True, True, False]
    assert [name for name, *_ in _read(text, **{"swaps-4": "yes"})] == ["fill", "key", "back"]


@pytest.mark.parametrize(
    ("typed", "meant"), [("fil", "fill"), ("kye", "key"), ("bakc", "back"), ("keyy", "key")]
)
def test_a_slip_of_the_fingers_in_a_name_is_asked_about(typed, meant):
    text = f"{meant} 5480 +.004\n{typed} 5500 +.003"
    question = next(q for q in read_readings(text).asked if q.key == f"typed-{typed}")
    assert (question.likely, question.lines) == ("yes", [2])
    assert _read(text) == [(meant, 5480, 0.004)]
    assert [name.split(" (")[0] for name, *_ in _read(text, **{question.key: "yes"})] == [meant, meant]
    assert [name for name, *_ in _read(text, **{question.key: "no"})] == [meant, typed]


@pytest.mark.parametrize("name", ["Bill", "Kay", "keys", "pack", "rims", "fills", "hall", "fil"])
def test_other_names_are_none(name):
    paste = read_readings(f"{name} 5480 +.004\nkey 5500 +.003\nback 4300 +.002")
    assert not [question for question in paste.asked if question.key.startswith("typed")]


@pytest.mark.parametrize(
    ("line", "left"),
    [
        ("DP wants everything at 4300 by the way. Right now the key is 4470, duv +.0036.", ["4300"]),
        ("kicker 5310 no wait 5130, +.0018", ["5310"]),
        ("key 5480 +.004 1200 lx, fill 5.48k -.001 at 50 %", []),
        ("key 5 480 K, +0,004, 1 200 lx", []),
        ("key 5480 +4", []),
        ("key 182 mired +.004 at 12:40", []),
    ],
)
def test_a_figure_like_a_colour_that_no_reading_took_is_said(line, left):
    paste = read_readings(line)
    assert [each.text for each in paste.left_out] == left
    assert all(f"{figure}: no reading took it" in paste.ignored for figure in left)


def test_what_was_read_without_the_gel_is_a_reading():
    rows = read_readings("china ball with half CTB 3950 +.002. Without it, it was 2900 +.001").rows
    read = [(r.source.reading.cct, r.source.reading.gels) for r in rows if r.source]
    assert read == [(3950, ["CTB 1/2"]), (2900, [])]


def test_the_same_side_repeats_no_figures():
    names = [name for name, *_ in _read("chan 11 cyc left, 5850 +.005. Chan 12 same side lower, 5790 +.006")]
    assert names == ["chan 11 cyc left", "Chan 12 same side lower"]
    assert _read("key 5480 +.004, fill the same")[1] == ("fill", 5480, 0.004)
