"""What crews write alike, in other words each time: whose a figure is, what was not read. Invented."""

from contextlib import suppress

import pytest

from advisor.imports import read_anything
from advisor.model import Refused


def settled(text):
    """Read a text with the likeliest answer to each question; return name, CCT, Duv, lux, level, gels."""
    answers: dict[str, str] = {}
    paste = read_anything(text)
    for _ in range(3):
        answers |= {q.key: q.likely or q.choices[0].value for q in paste.asked if q.key not in answers}
        paste = read_anything(text, answers)
    return [
        (r.source.name, r.source.reading.cct, r.source.reading.duv, *_rest(r.source.reading))
        for r in paste.rows
        if r.source
    ]


def _rest(reading):
    given = [reading.lux and round(reading.lux), reading.level, *reading.gels]
    return [each for each in given if each is not None]


def silently(text):
    return [
        (r.source.name, r.source.reading.cct, r.source.reading.duv)
        for r in read_anything(text).rows
        if r.source
    ]


@pytest.mark.parametrize(
    ("text", "truth"),
    [
        # The name behind one figure and before another: each has its own.
        (
            "Had 5475 and +.0032 off the key. Fill I make 5535, +.0027. Couldn't do the back yet",
            [("key", 5475, 0.0032), ("Fill", 5535, 0.0027)],
        ),
        ("fifty four sixty on the key plus point oh oh three", [("key", 5460, 0.003)]),
        ("5.49k key, 5.61k fill", [("key", 5490, 0), ("fill", 5610, 0)]),
        # What a desk says is set.
        (
            "desk says 5600 for the panel by the lift, meter says 5385 and .0051 green",
            [("panel by the lift", 5385, 0.0051)],
        ),
        # Another light is measured by it.
        (
            "Balloon's up. Two stops under key, 5615 +.0017. Key itself 5575 +.0013",
            [("Balloon", 5615, 0.0017), ("Key", 5575, 0.0013)],
        ),
        ("fill 5520 +.003, a stop warmer than the key", [("fill", 5520, 0.003)]),
        # One of two.
        (
            "Did both windows, one's 6210 +.004 and the other 5940 +.003",
            [("window", 6210, 0.004), ("window", 5940, 0.003)],
        ),
        ("5465 +.0012 for the big one outside the chapel", [("big one outside the chapel", 5465, 0.0012)]),
        # Gels and levels above or before.
        (
            "With full CTB on: redhead left 4960 +.003, redhead right 5020 +.004",
            [("redhead left", 4960, 0.003, "CTB full"), ("redhead right", 5020, 0.004, "CTB full")],
        ),
        ("Window bare 5910, with ½ CTO on it 3960", [("Window", 5910, 0), ("Window", 3960, 0, "CTO 1/2")]),
        # Thousands apart, and for all.
        ("Nyckelljus 5 620, duv +0,0021, 310 lux", [("Nyckelljus", 5620, 0.0021, 310)]),
        ("Klucz 5610, kontra 5530. Duv wszędzie +0,002", [("Klucz", 5610, 0.002), ("kontra", 5530, 0.002)]),
        ("cans all 2710, tubes 4110 +.008 each", [("cans", 2710, 0), ("tubes", 4110, 0.008)]),
        (
            "Key 40 fc 5600 +.002. Fill 20 fc, same colour.",
            [("Key", 5600, 0.002, 431), ("Fill", 5600, 0.002, 215)],
        ),
        ("Top light 32 hundred, duv zero", [("Top light", 3200, 0)]),
        (
            "tubes 1-2 4310 +.002, tube 4 is drifting, gave me 4370 then 4420",
            [("tube 1", 4310, 0.002), ("tube 2", 4310, 0.002), ("tube 4", 4420, 0)],
        ),
        (
            "someone check the cyc? I'm getting 5350 plus .006 on the left and 5480 plus .003 on the right",
            [("cyc left", 5350, 0.006), ("cyc right", 5480, 0.003)],
        ),
        # Counted, and in their order.
        (
            "Panels L to R 5610 +.002, 5620 +.003, 5590 +.001",
            [("Panel 1", 5610, 0.002), ("Panel 2", 5620, 0.003), ("Panel 3", 5590, 0.001)],
        ),
        ("we have 2 redheads, 3210/0 and 3170/-.001", [("redhead 1", 3210, 0), ("redhead 2", 3170, -0.001)]),
        (
            "the two kitchen panels match now: 5600 +.003 and 5590 +.001",
            [("kitchen panel 1", 5600, 0.003), ("kitchen panel 2", 5590, 0.001)],
        ),
        (
            "Metered both practicals. One is 2700 -.001, the other one's 2850 -.002",
            [("practical", 2700, -0.001), ("practical", 2850, -0.002)],
        ),
        ("R cans 3190 -.001 and 3210 0", [("R can 1", 3190, -0.001), ("R can 2", 3210, 0)]),
        ("Balloon 2 stops down on the key, reads 5610 +.0016", [("Balloon", 5610, 0.0016)]),
        (
            "4120 on the dash light, duv +.0092, and 5465 +.0011 for the big one behind the car",
            [("dash light", 4120, 0.0092), ("big one behind the car", 5465, 0.0011)],
        ),
        (
            "sky 9800 0, shade side. sun side 5300 +.001",
            [("sky", 9800, 0), ("sun side", 5300, 0.001)],
        ),
        (
            "softlight thru the muslin 5320 +.0045, without muslin 5480 +.004",
            [("softlight", 5320, 0.0045), ("softlight", 5480, 0.004)],
        ),
        ("hmi's settled: 5650 plus three point five thousandths", [("hmi", 5650, 0.0035)]),
        (
            "Key 5600K (+3). Added 1/8 minus green, now 5580K (+1).",
            [("Key", 5600, 0.003), ("Key", 5580, 0.001, "Minus green 1/8")],
        ),
        # Put right at once, and what a lamp is called by.
        ("key 5480 +.004, no wait 5840 +.003", [("key", 5840, 0.003)]),
        ("Key 5480 +.004. Actually make that 5460.", [("Key", 5460, 0.004)]),
        ("fill's 5520 +.003, hang on, 5250", [("fill", 5250, 0.003)]),
        ("fill 5520 +.003 -- scrap that, 5250 +.002", [("fill", 5250, 0.002)]),
        ("Fresnel is low. 3060 instead of 3200, duv -.0015", [("Fresnel", 3060, -0.0015)]),
        ("the 5600 panel actually measures 5390 +.006", [("panel", 5390, 0.006)]),
        ("Amara wants to know the window - it's 6350 minus .0012", [("window", 6350, -0.0012)]),
        (
            "practicals swapped, now 2950 -.0005; rim came back 5530 +.002",
            [
                ("practicals", 2950, -0.0005),
                ("rim", 5530, 0.002),
            ],
        ),
        ("Key 5600 ... bang on\nFill 5450 +.005", [("Key", 5600, 0), ("Fill", 5450, 0.005)]),
        ("heads 1+2 3210 (0)", [("head 1", 3210, 0), ("head 2", 3210, 0)]),
        (
            "Tubes over pool: #1 5580 +.004, #2 5600 +.003, #4 dead",
            [("tube 1", 5580, 0.004), ("tube 2", 5600, 0.003)],
        ),
        (
            "Panel 1,2,3: 5600, 5610, 5590. All +.003",
            [("Panel 1", 5600, 0.003), ("Panel 2", 5610, 0.003), ("Panel 3", 5590, 0.003)],
        ),
        (
            "heads fine at 3200 +.001, number 7 is 2950 -.002",
            [("heads", 3200, 0.001), ("number 7", 2950, -0.002)],
        ),
    ],
)
def test_each_figure_goes_where_anybody_would_put_it(text, truth):
    assert settled(text) == truth


@pytest.mark.parametrize("verb", ["running", "averaging", "averaged", "hovering at", "clocking", "sat at"])
def test_a_verb_is_no_part_of_a_name(verb):
    assert silently(f"key 5480 +.004, the backlight's {verb} 5720 +.006")[1][0] == "backlight"


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        ("Key again. 5440 duv minus .004, so still quite green.", 0.004),
        ("fill 5600 +.003, very magenta that one", -0.003),
        ("key: 5480 +4, a bit pink", -0.004),
    ],
)
def test_a_sign_that_its_words_contradict_is_asked(text, likely):
    assert silently(text) == []
    asked = {q.key: q for q in read_anything(text).asked}
    assert asked["sign-1.0"].likely == "other"
    assert settled(text)[0][2] == likely
    assert read_anything(text, {"sign-1.0": "yes"}).rows[0].source.reading.duv == -likely


@pytest.mark.parametrize(
    "text",
    [
        "key 5480 +.004, less green than before",
        "key 5480 -.004 with ½ minus green on",
        "green room lamp 5480 -.004",
        "key 0042 magenta at 5510",
        "fill 5600 -.003, not green at all",
    ],
)
def test_a_sign_that_stands_is_not_asked(text):
    assert not any(q.key.startswith("sign") for q in read_anything(text).asked)


@pytest.mark.parametrize("verb", ["scrap", "bin", "scratch", "forget"])
def test_a_reading_that_is_thrown_away_for_another_is_asked(verb):
    text = f"key 5640 +.002\nfill 5710 +.003\n{verb} the fill, someone stood in it. 5580 +.001"
    assert silently(text) == [("key", 5640, 0.002)]
    assert settled(text) == [("key", 5640, 0.002), ("fill", 5580, 0.001)]


def test_names_that_are_written_anew_are_asked():
    text = "The keg is 5560 +.001 and the feel is 5490 +.002\n*key *fill stupid phone"
    assert silently(text) == []
    assert settled(text) == [("key", 5560, 0.001), ("fill", 5490, 0.002)]
    assert [n for n, *_ in silently("key 5560 +.001\n*balcony doors later")] == ["key"]


@pytest.mark.parametrize(
    "text", ["whats the key meant to be again, 5600?", "what's the fill supposed to be, 3200?"]
)
def test_a_question_about_what_is_wanted_is_no_reading(text):
    with suppress(Refused):
        assert silently(text) == settled(text) == []


def test_lines_of_ccts_and_duvs_alone_are_readings_without_names_and_no_spectrum():
    paste = read_anything("5600 +.002\n5550 +.003\n3190 -.001")
    assert [r.source.reading.cct for r in paste.rows] == [5600, 5550, 3190]
    assert not any(r.named for r in paste.rows)
    with pytest.raises(Refused, match="spectrum"):
        read_anything("380 0.01\n400 0.02\n420 0.03")
