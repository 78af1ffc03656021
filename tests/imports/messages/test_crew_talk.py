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
        ("the 5k is 3180, the 2k 3150 and the baby 3160. all minus a thousandth",
         [("5k", 3180, -0.001), ("2k", 3150, -0.001), ("baby", 3160, -0.001)]),
        ("the practical was 2850 before the break and now I read 3400 +.001", [("practical", 3400, 0.001)]),
        ("the desk lamp reads 2720 or 2750, can't hold still. hall is 3020 +.001",
         [("desk lamp", 2735, None), ("hall", 3020, 0.001)]),
        ("heads 21 thru 22 all 5600, Duv anywhere from +.001 to +.002",
         [("head 21", 5600, 0.0015), ("head 22", 5600, 0.0015)]),
        ("key fifty four eighty fill same backlight fifty six hundred",
         [("key", 5480, None), ("fill", 5480, None), ("backlight", 5600, None)]),
        ("window 54, key 56. all hundred", [("window", 5400, None), ("key", 5600, None)]),
        ("Truss heads, all at 80%\n1) 5590 +.001\n2) 5605 +.002\n3) dead\n4) 5580 +.001",
         [("head 1", 5590, 0.001, 80), ("head 2", 5605, 0.002, 80), ("head 4", 5580, 0.001, 80)]),
        ("0715 window 7400 +.002\n0945 doorway 6600 +.002",
         [("window", 7400, 0.002), ("doorway", 6600, 0.002)]),
        ("Bea: got a duv for the fill please?\nLars: that was -0.0027, cct 4385\nBea: ta",
         [("fill", 4385, -0.0027)]),
        ("waiting for the key 5600 +.002", [("key", 5600, 0.002)]),
        ("Salut, alors la face 4320K +0,003, le contre 5600K -0,001. On vise 4300 partout.",
         [("face", 4320, 0.003), ("contre", 5600, -0.001)]),
        ("Fill 55800 +.002\nkey 5600 +.001", [("Fill", 5580, 0.002), ("key", 5600, 0.001)]),
        ("rig 1 5590 +.003, rig 2 5605 +.03, rig 3 5600 +.003",
         [("rig 1", 5590, 0.003), ("rig 2", 5605, 0.003), ("rig 3", 5600, 0.003)]),
        ("Read the tubes: 4150, green 11cc. With half minus green on them: 4080, green 4cc.",
         [("tubes", 4150, 0.011), ("tubes", 4080, 0.004)]),
        ("fifty five twenty on the key, say two thousandths, and forty eight hundred on the fill",
         [("key", 5520, 0.002), ("fill", 4800, None)]),
        ("Sky's at 7100 now (was 6500 an hour ago), duv .003", [("Sky", 7100, 0.003)]),
        ("I make it 5560 for the big window and 5610 for the little one, Duv .002 both",
         [("big window", 5560, 0.002), ("little window", 5610, 0.002)]),
        ("5480 key\n5510 fill", [("key", 5480, None), ("fill", 5510, None)]),
        ("k: 5600/+2, f: 5480/+4", [("k", 5600, 0.002), ("f", 5480, 0.004)]),
        ("Forgot to say: the moonbox is at 6500, plus five, level 35", [("moonbox", 6500, 0.005, 35)]),
        ("panel one 5600 plus two panel two 5590 plus two",
         [("panel one", 5600, 0.002), ("panel two", 5590, 0.002)]),
        ("key: 5.6 / fill: 5.5", [("key", 5600, None), ("fill", 5500, None)]),
        ("the panels aren't matched: 1 = 4050/+.004, 2 = 4120/+.006",
         [("panel 1", 4050, 0.004), ("panel 2", 4120, 0.006)]),
        ("the lamp in the corner (the ugly green one) 2730 / -0.0012",
         [("lamp in the corner", 2730, -0.0012)]),
        ("strip left 4020 CC+5, driver's lamp 2900 CC-1",
         [("strip left", 4020, 0.005), ("driver's lamp", 2900, -0.001)]),
        ("Sun 5450K, shade 7600K, bounce off wall 5200K. Duvs: .0005, .004, -.001",
         [("Sun", 5450, 0.0005), ("shade", 7600, 0.004), ("bounce off wall", 5200, -0.001)]),
        ("Left eye light: 5420 K, minus 0.0008, right eye light: same K, minus 0.0012",
         [("Left eye light", 5420, -0.0008), ("right eye light", 5420, -0.0012)]),
        ("fill's now with quarter CTO, 4650 (before 5600)", [("fill", 4650, None)]),
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


def test_a_line_of_light_goes_to_the_readings_above():
    rows = read_readings("left panel 5600 +.001, roof 5620 +.002\nlux: left 180, roof 90").rows
    assert [row.source.reading.lux for row in rows] == [180, 90]
    rows = read_readings("left panel 5600 +.001, roof 5620 +.002\nlux: left 180, attic 90").rows
    assert [row.source.reading.lux for row in rows if row.source] == [None, None]


@pytest.mark.parametrize("lux", ["700 lx", "1 200 lx", "260 lux"])
def test_light_behind_a_duv_with_a_comma_takes_no_part_of_it(lux):
    text = f"rysujące 5520 +0,003 {lux}\nkontra 4380 -0,002\n"
    assert silent(text) == [("rysujące", 5520, 0.003), ("kontra", 4380, -0.002)]
    assert read_readings(text).rows[0].source.reading.lux == int(lux[:-3].replace(" ", ""))


def test_south_east_is_a_corner_and_no_word_of_another_language():
    text = "NW 5.48k +.004\nSE 5.62k +.001\n"
    assert silent(text) == [("NW", 5480, 0.004), ("SE", 5620, 0.001)]
    assert silent("NW 5.48k +.004\nse la chiave 5600 +.002\n") == [("NW", 5480, 0.004)]


def test_the_german_for_bath_is_a_room():
    text = "Küche 4050 K Duv 0,008\nBad 2930 K Duv -0,001\n"
    assert silent(text) == [("Küche", 4050, 0.008), ("Bad", 2930, -0.001)]


@pytest.mark.parametrize(
    "text",
    [
        "A 4310 +.0035 | B 4290 +.0031",
        "A 4310 +.0035\nB 4290 +.0031",
        "A 4310 +.0035 / C not done / B 4290 +.0031",
    ],
)
def test_the_first_of_lettered_lights_is_no_article_and_a_part_without_figures_is_talk(text):
    assert silent(text) == [("A", 4310, 0.0035), ("B", 4290, 0.0031)]


def test_a_last_part_without_figures_is_talk():
    text = "A 4310 +.0035 | B 4290 +.0031 | C 4405 +.0052 | D nothing, lamps out"
    assert silent(text) == [("A", 4310, 0.0035), ("B", 4290, 0.0031), ("C", 4405, 0.0052)]


def test_a_name_apart_from_its_figures_is_no_talk():
    text = "key | 5480 +.004 | fill | 5300 +.001"
    assert silent(text) == [("key", 5480, 0.004), ("fill", 5300, 0.001)]
