"""Messages in several classes of language, each with what a careful reader writes down. Invented."""

import pytest

from advisor.imports import read_readings


def likely(text):
    """Return the readings once all that is asked has its likeliest answer."""
    answers = {}
    for _ in range(4):
        paste = read_readings(text, answers)
        answers = {q.key: q.answer or q.likely or q.choices[0].value for q in paste.asked}
    return [_told(source) for row in paste.rows if (source := row.source) is not None]


def silent(text):
    """Return the readings before anything is answered."""
    return [_told(row.source) for row in read_readings(text).rows if row.source is not None]


def _told(source):
    reading = source.reading
    told = [source.name, round(reading.cct), None if reading.duv_assumed else round(reading.duv, 5)]
    return tuple(told + ([reading.level] if reading.level else []))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("ch 31 @ 60% 3210 +.002\nch 32 @ FULL 5570 -.001",
         [("ch 31", 3210, 0.002, 60), ("ch 32", 5570, -0.001, 100)]),
        ("Head 2 fifty five hundred, head 3 ditto, head 6 56 hundred, -.002",
         [("Head 2", 5500, None), ("head 3", 5500, None), ("head 6", 5600, -0.002)]),
        ("The 2k at the gate is 3150 +.0004. Same for the other one. Grip wants us out",
         [("2k at the gate", 3150, 0.0004), ("2k at the gate, the other one", 3150, 0.0004)]),
        ("Key light is 5 530 K, is too green, +0,006. Counter light 5 590, is ok, +0,001.",
         [("Key light", 5530, 0.006), ("Counter light", 5590, 0.001)]),
        ("anyone got the fill? all I have is key 5480 plus 3 thou", [("key", 5480, 0.003)]),
        ("the lamps in the mirror say 2700 on the box. measured 2590 -.001",
         [("lamps in the mirror", 2590, -0.001)]),
        ("As it stands the bounce is 5570, +.002. If we put CTO on it it'd be maybe 3800",
         [("bounce", 5570, 0.002)]),
        ("Ignore what I sent at 10. New ones: key 5510 +.001 / fill 5530 +.002",
         [("key", 5510, 0.001), ("fill", 5530, 0.002)]),
        ("K 5590/.002 F 5610/.003", [("K", 5590, 0.002), ("F", 5610, 0.003)]),
        ("> key 5640 +.001, back 5480 +.002\nback is 5840 +.002 actually, you typed it wrong",
         [("key", 5640, 0.001), ("back", 5840, 0.002)]),
        ("> rim 5640 +.001\nrim 5460 +.001", [("rim", 5460, 0.001)]),
    ],
)  # fmt: skip
def test_a_message_tells(text, expected):
    assert likely(text) == expected
    assert set(silent(text)) <= set(expected)


def test_a_line_for_each_of_several_is_never_made_one():
    assert silent("bay 1 @ 3240 +.001 ??\nbay 2 @ 5590 -.002 ??") != [("bay 2", 3240, 0.001)]
    lines = read_readings("ch 21 @ 45% 3240 +.001\nch 23 @ FULL 5590 -.002").rows
    assert [row.line for row in lines] == [1, 2]


def test_one_without_a_name_among_others_is_no_reading():
    text = "then 5590/.002 fill 5610/.003\nkey 5600 +.001"
    assert ("Source 1", 5590, 0.002) not in silent(text)


def test_talk_is_no_source_that_is_the_same():
    assert [
        name
        for name, *_ in silent("rim 5480 +.004, hair 5480 +.004. yes relly both teh same i mesured twice")
    ] == [
        "rim",
        "hair",
    ]
