"""What is not read before somebody was asked: wishes, doubts, whose light it is, a gel of all. Invented."""

import pytest

from advisor.imports import read_anything


def read_of(text, *, likeliest=False):
    """Return name, CCT, Duv, level and gels of what is read; with `likeliest`, once that was answered."""
    answers: dict[str, str] = {}
    paste = read_anything(text)
    for _ in range(3 if likeliest else 0):
        answers |= {q.key: q.likely or q.choices[0].value for q in paste.asked if q.key not in answers}
        paste = read_anything(text, answers)
    rows = [(row.source.name, row.source.reading) for row in paste.rows if row.source]
    return [(name, r.cct, r.duv, *([r.level] if r.level else []), *r.gels) for name, r in rows]


KEY = ("key", 5480, 0.004)


@pytest.mark.parametrize(
    ("text", "likely"),
    [
        # What is wanted, ordered, another day's, a camera's.
        ("goal: key 5480 +.004", []),
        ("match the key to 5480 +.004 please", []),
        ("gel the window down to 4300 +.002", []),
        ("get the key to 5600 +.000 before lunch", []),
        ("key expected 5480 +.004", []),
        ("last week's key was 5480 +.004", []),
        ("the manufacturer says 5600 +.002", []),
        ("yesterday's numbers: key 5480 +.004, fill 3190 -.001", []),
        ("A cam at 5600 +3, key 5480 +.004", [KEY]),
        ("Targets\nkey 5600 0\nfill 5600 0\n\nMeasured\nkey 5480 +.004", [KEY]),
        ("WANT\nkey 5600 +.000\nGOT\nkey 5480 +.004", [KEY]),
        # What is asked or doubted.
        ("key 5480 +.004?", [KEY]),
        ("key 5480 +.004 ok?", [KEY]),
        ("key 5480 +.004 or was that the fill", [KEY]),
        ("key 5480 +.004, doesn't look right", [KEY]),
        # A mean of others is no light; neither is a crew.
        ("key 5480 +.004\nfill 3190 -.001\naverage 4335 +.0015", [KEY, ("fill", 3190, -0.001)]),
        ("meet at 5480 Main Street", []),
        ("crew of 3200 extras, +.003", []),
        # Which of two figures holds, and one digit too many.
        ("Window read 6230 +.004 at nine, it's down to 5870 +.002 now", [("Window", 5870, 0.002)]),
        ("key 5840 +.004\nignore my last, key is 5480 +.004", [KEY]),
        ("rim  3980 +.007\nbar  39700 +.008", [("rim", 3980, 0.007), ("bar", 3970, 0.008)]),
        # A gel or a level of all.
        ("key 5480 +.004\nfill 3190 -.001\nall at 60%", [(*KEY, 60), ("fill", 3190, -0.001, 60)]),
        ("key 5480 +.004\nboth with half CTO on", [(*KEY, "CTO 1/2")]),
        ("full CTB on all of them\nkey 5480 +.004", [(*KEY, "CTB full")]),
        # A gel that came off, or is to come; figures of another light; a Duv whose sign nobody said.
        ("key - CTO off - 5480 +.004", [KEY]),
        ("key without the half CTO 5480 +.004", [KEY]),
        ("key 5480 +.004 -> add 1/4 minus green", [KEY]),
        ("key 5480 +.004 (full CTO off, 1/4 CTO on)", [(*KEY, "CTO 1/4")]),
        ("head 2 reads 200 more than head 1 (5480 +.004)", []),
        ("fill 20K under", []),
        ("key 5480 duv four", [KEY]),
        ("base is 5600 today", []),
        ("window 6950k +3.8c\noven 2410k -2.2cc", [("window", 6950, 0), ("oven", 2410, -0.0022)]),
        # The same names under two headings.
        (
            "A cam left\nkey 5470 +.003\nA cam right\nkey 5650 +.001",
            [("A cam left key", 5470, 0.003), ("A cam right key", 5650, 0.001)],
        ),
        ("morning\nkey 5480 +.004\nafternoon\nkey 5510 +.003", [KEY, ("key", 5510, 0.003)]),
    ],
)  # fmt: skip
def test_nothing_is_read_that_words_leave_open(text, likely):
    held = [row for row in read_of(text) if row not in likely]
    assert held == []
    assert read_of(text, likeliest=True) == likely


@pytest.mark.parametrize(
    "text",
    [
        "target 5600, key 5480 +.004",
        "dp wants it at 5600, key 5480 +.004",
        "Bo wants to know the key - it's 5480 +.004",
        "key 5480 +.004, same as yesterday",
        "what else? key 5480 +.004",
        "Key lights\nkey 5480 +.004",
        "ready?\nkey 5480 +.004",
    ],
)
def test_words_that_leave_nothing_open_ask_nothing(text):
    assert read_of(text) == [KEY]


@pytest.mark.parametrize(
    ("text", "lux"),
    [
        ("key 5480 +.004 lx850", 850),
        ("key 5480 +.004 lux 850", 850),
        ("key 5480 +.004 (850)", 850),
    ],
)
def test_light_stands_before_or_behind_its_unit(text, lux):
    assert [row.source.reading.lux for row in read_anything(text).rows if row.source] == [lux]


def test_what_a_light_was_before_is_no_illuminance():
    assert all(row.source is None for row in read_anything("key 5480 +.004 (was 5530)").rows)


def test_a_desk_writes_full_as_fl():
    assert read_of("ch 21 @ FL — 5610 / +.0035") == [("ch 21", 5610, 0.0035, 100)]
