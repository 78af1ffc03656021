"""Readings that say how the source stood: dim level, modifier, dial. Every reading here is invented."""

import pytest

from advisor.imports import read_anything, read_readings
from advisor.imports.vocabulary.headings import Field, understand
from advisor.model import Kind, Reading, Setting

HEAD = "name;dim level;modifier;dial CCT;dial green;CCT;Duv\n"


def stood(reading):
    return reading.level, reading.modifier, reading.dial


def plain(problem):
    return problem.where, str(problem).replace("\N{NARROW NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("field", "headings"),
    [
        (
            Field.LEVEL,
            "dim|Dim level|dim level (%)|Level|level %|Dimmer|dimmer level|dimming [%]|Intensity %"
            "|intensity (percent)|Output [%]",
        ),
        (Field.MODIFIER, "modifier|Modifier(s)|light modifier|Diffuser|attachment"),
        (
            Field.DIAL_CCT,
            "dial CCT|CCT dial|CCT (dial)|CCT on the dial|CCT on its dial [K]|Set CCT|CCT set (K)|CCT setting"
            "|dial K|Dial colour temperature|set color temp.",
        ),
        (
            Field.DIAL_GREEN,
            "dial green|green on the dial|set green|Green (set)|dial tint|Dial G/M|set green–magenta",
        ),
    ],
)
def test_headings_of_tags_are_recognised(field, headings):
    for heading in headings.split("|"):
        found = understand(heading)
        assert found is not None, heading
        assert (found.field, found.factor) == (field, 1.0), heading


@pytest.mark.parametrize(
    "heading",
    ["intensity", "output", "light level", "level 2", "dial", "set", "green", "set CCT %", "dim level K"],
)
def test_other_headings_are_none_of_a_tag(heading):
    assert understand(heading) is None


@pytest.mark.parametrize(
    "text",
    [
        HEAD + "Panel;60 %;Softbox;5600 K;-2;5480;0,0021\n",
        HEAD + "Panel;60;Softbox;5.600;−2;5480;0,0021\n",
        "Name,CCT,Duv,Level,Diffuser,Set CCT,Set green\nPanel,5480,0.0021,60 percent,Softbox,5600,-2\n",
        "Name\tIntensity\tTcp\tΔuv\tattachment\tCCT (dial)\ttint (set)\n\t%\tK\t\t\tK\t\n"
        "Panel\t60,0\t5480\t0,0021\tSoftbox\t5,600\t-2,0\n",
        "Panel\nCCT: 5480\nDuv: 0.0021\nDim: 60 %\nModifier: Softbox\nDial CCT: 5600 K\nDial green: -2\n",
        "Panel\nCCT 5480\nDuv 0.0021\nDim level 60 %\nModifier,Softbox\nDial CCT 5600\nSet green -2\n",
        "Name: Panel; CCT: 5480; Duv: 0,0021; level: 60; modifier: Softbox; set CCT: 5600; set green: −2",
    ],
)
def test_tags_come_in_many_shapes(text):
    (row,) = read_readings(text).rows
    assert row.problems == []
    assert (row.source.name, row.source.reading.cct, row.source.reading.duv) == ("Panel", 5480, 0.0021)
    assert stood(row.source.reading) == (60, "Softbox", Setting(cct=5600, green=-2))


@pytest.mark.parametrize("units", [";%;", ";;%", "%;%;%"])
def test_a_percent_sign_beneath_what_is_no_level_makes_no_row_of_units(units):
    rows = read_readings(f"Weather;CCT;Duv\n{units}\nfog;5600;0\n").rows
    assert [row.source is None for row in rows] == [True, False]


def test_a_percent_sign_may_stand_beneath_what_is_not_used_beside_a_level():
    (row,) = read_readings("Humidity;CCT;Duv;Intensity\n%;K;;%\n80;5600;0;60\n").rows
    assert row.source.reading.level == 60


@pytest.mark.parametrize(
    ("level", "modifier", "dial_cct", "dial_green", "expected"),
    [
        ("full", "", "", "", (100, "", None)),
        ("At full", "none", "", "", (100, "", None)),
        ("", "bare", "", "", (None, "", None)),
        ("-", "-", "-", "-", (None, "", None)),
        ("62,5 %", "", "3200", "", (62.5, "", Setting(cct=3200))),
    ],
)
def test_what_cells_of_tags_say(level, modifier, dial_cct, dial_green, expected):
    (row,) = read_readings(HEAD + f"A;{level};{modifier};{dial_cct};{dial_green};5600;0\n").rows
    assert stood(row.source.reading) == expected


@pytest.mark.parametrize(
    ("cells", "where", "says"),
    [
        ("0 %;;;", "dim level", "Dim level 0 % is out of range (a head that is off has nothing to read)"),
        ("130 %;;;", "dim level", "Dim level 130 % is out of range. Allowed: 1 to 100 %."),
        ("0,6;;;", "dim level", "(as a share? then 60). Allowed: 1 to 100 %."),
        ("off;;;", "dim level", "Dim level 'off' is not a number"),
        ("60 K;;;", "dim level", "has the unit 'K'"),
        (f";{'m' * 41};;", "modifier", "Modifier has 41 characters. Allowed: at most 40 characters."),
        (";;90;", "dial CCT", "CCT on the dial 90 is out of range. Allowed: 500 to 50 000 K."),
        (";;5600;green", "dial green", "Green on the dial 'green' is not a number"),
        (
            ";;;3",
            "dial green",
            "green on the dial is 3, and its CCT is missing. Allowed: the CCT on the dial",
        ),
    ],
)
def test_a_tag_that_cannot_be_refuses_its_row_and_no_other(cells, where, says):
    before, wrong, after = read_readings(f"{HEAD}A;60;;;;5600;0\nA;{cells};5600;0\nA;30;;;;5600;0\n").rows
    assert wrong.source is None
    (problem,) = wrong.problems
    place, words = plain(problem)
    assert (place, says in words) == (f"line 3, column {where}", True), words
    assert after.joins == before.line == 2


def test_a_dial_that_is_wrong_is_told_once():
    (row,) = read_readings(HEAD + "A;;;90;3;5600;0\n").rows
    assert [p.where for p in row.problems] == ["line 2, column dial CCT"]


def test_a_block_says_the_line_of_a_tag_that_cannot_be():
    (row,) = read_readings("Key\nCCT: 5600\nDuv: 0\nLevel: 0 %\n").rows
    assert [p.where for p in row.problems] == ["line 4, Level"]


class TestOneSource:
    TEXT = (
        "name,kind,dim level,CCT,Duv,lux,note\n"
        "Key,,100,3200,0.001,900,\n"
        "Window,daylight,,6500,0.004,800,\n"
        "key,tungsten,60,3050,0.001,400,old lamp\n"
        "Key,,30,2900,0.002,120,\n"
    )

    def test_rows_of_one_name_are_readings_of_it_and_the_last_counts(self):
        paste = read_readings(self.TEXT)
        assert [row.joins for row in paste.rows] == [None, None, 2, 2]
        assert [row.source.name for row in paste.rows] == ["Key", "Window", "Key", "Key"]
        key, window = paste.sources
        assert (key.name, key.kind, key.note) == ("Key", Kind.TUNGSTEN, "old lamp")
        assert [r.level for r in (*key.readings, key.reading)] == [100, 60, 30]
        assert key.reading == Reading(cct=2900, duv=0.002, lux=120, level=30)
        assert (window.name, window.readings) == ("Window", [])

    @pytest.mark.parametrize(
        ("one", "other"),
        [
            ("60;;;", "30;;;"),
            (";grid;;", ";;;"),
            (";;;", "60;;;"),
            (";;3200;", ";;5600;"),
            (";;3200;1", ";;3200;2"),
        ],
    )
    def test_any_tag_tells_two_readings_apart(self, one, other):
        first, second = read_readings(f"{HEAD}A;{one};5600;0\nA;{other};5600;0\n").rows
        assert (first.joins, second.joins, second.problems) == (None, 2, [])

    def test_readings_that_stood_alike_are_both_kept_with_a_remark(self):
        paste = read_readings(f"{HEAD}A;60;Grid;;;5600;0\nB;60;;;;5600;0\nA;60;grid;;;5500;0\n")
        says = "'A' has the same level, modifier and dials on line 2. Both are kept"
        assert [[p.says for p in row.problems] for row in paste.rows] == [[], [], [says]]
        assert [len(source.readings) for source in paste.sources] == [1, 0]

    def test_rows_without_tags_are_sources_as_ever(self):
        text = "Name,level,CCT,Duv\nLamp,,3200,0\nLamp,,3100,0\nLamp,50,3000,0\nLamp,,2900,0\n"
        sources = read_readings(text).sources
        assert [s.name for s in sources] == ["Lamp", "Lamp (2)", "Lamp (3)"]
        assert [[r.cct for r in (*s.readings, s.reading)] for s in sources] == [[3200, 3000], [3100], [2900]]

    def test_a_row_without_tags_joins_one_that_has_them(self):
        assert [s.name for s in read_readings("Name,level,CCT,Duv\nA,50,3200,0\nA,,3100,0\n").sources] == [
            "A"
        ]

    def test_names_that_are_made_up_join_nothing(self):
        rows = read_readings("name,level,CCT,Duv\nSource 2,60,3200,0\n,50,3100,0\nSource 2,30,3000,0\n").rows
        assert [row.source.name for row in rows] == ["Source 2", "Source 2 (2)", "Source 2"]
        assert [(row.named, row.joins) for row in rows] == [(True, None), (False, None), (True, 2)]

    def test_what_an_earlier_row_says_holds_and_the_rest_is_remarked_upon(self):
        rows = ("A,LED,60,5600,0,hot", "A,tungsten,30,5600,0,cold", "A,LED,20,5600,0,hot")
        text = "\n".join(["name,kind,level,CCT,Duv,note", *rows])
        paste = read_readings(text)
        assert (paste.sources[0].kind, paste.sources[0].note) == (Kind.LED_WHITE, "hot")
        assert [[p.says for p in row.problems] for row in paste.rows] == [
            [],
            [
                "kind 'tungsten' is left out, line 2 says 'led-white'",
                "the note 'cold' is left out, that of line 2 is kept",
            ],
            [],
        ]

    def test_blocks_under_one_title_are_one_source(self):
        text = "Key\nCCT: 3200\nDuv: 0\nDim: full\n\nKey\nCCT: 3000\nDuv: 0\nDim: 50 %\n"
        paste = read_readings(text)
        assert [(row.line, row.joins) for row in paste.rows] == [(1, None), (6, 1)]
        assert [r.level for r in paste.sources[0].readings] == [100]
        assert paste.sources[0].reading.level == 50

    def test_a_spectrum_has_no_tags_and_its_name_joins_nothing(self):
        text = "nm,Key,Level %\n" + "".join(f"{nm},1,2\n" for nm in range(380, 781, 5))
        assert [(s.name, s.reading.level, s.readings) for s in read_anything(text).sources] == [
            ("Key", None, []),
            ("Level %", None, []),
        ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Key, 5600 K, 0.003, 900 lx, 60 %", ("Key", 900, 60, "")),
        ("Key, 5600 K, 0,003, 900 lx, 62,5 %", ("Key", 900, 62.5, "")),
        ("Key 5600 K 0.003 60 %", ("Key", None, 60, "")),
        ("5600,0.003,900,60%", ("Source 1", 900, 60, "")),
        ("Key: 5600 K, 0.003, at 60 %", ("Key", None, 60, "")),
        ("Key; 5600; 0,003; at full; modifier softbox", ("Key", None, 100, "softbox")),
        ("Key\t5600\t0.003\tDiffuser heavy frame\tdim 30 %", ("Key", None, 30, "heavy frame")),
        ("Key 60 % 5600 0.003", ("Key", None, 60, "")),
    ],
)
def test_one_line_may_end_in_tags(text, expected):
    (source,) = read_readings(text).sources
    assert (source.reading.cct, source.reading.duv) == (5600, 0.003)
    assert (source.name, source.reading.lux, source.reading.level, source.reading.modifier) == expected


def test_one_line_with_a_level_that_cannot_be_is_refused_in_its_row():
    (row,) = read_readings("\nKey, 5600 K, 0.003, 130 %").rows
    assert row.source is None
    assert [(p.where, "130 % is out of range" in p.says) for p in row.problems] == [
        ("line 2, dim level", True)
    ]


@pytest.mark.parametrize("title", ["Level 3", "Dim corner", "Diffuser frame", "Set 5"])
def test_a_title_that_begins_like_a_tag_stays_a_title(title):
    (source,) = read_readings(f"{title}\nCCT: 5600\nDuv: 0\n").sources
    assert source.name == title
    assert stood(source.reading) == (None, "", None)


def test_the_likeliest_column_of_a_level_is_taken_and_equal_ones_are_asked_about():
    paste = read_readings("Level,Dim level,CCT,Duv\n3,60,5600,0\n")
    assert paste.rows[0].source.reading.level == 60
    assert paste.ignored == ["Level: Dim level is used as the dim level"]
    assert ("Dim level", "dim level [%]") in [(c.heading, c.meaning) for c in paste.columns]
    (question,) = read_readings("dial CCT,set CCT,CCT,Duv\n3200,3300,5600,0\n").asked
    assert "both give dial CCT" in question.says


def test_a_level_below_one_per_cent_in_stops_is_refused_where_it_stands():
    # Eight stops down are 100 / 2^8 = 0.39 %, and no reading holds less than 1 %.
    paste = read_readings("name;CCT;Duv;stops down\nKey;5480;0,004;-8\nFill;3190;0,001;-2\n")
    key, fill = paste.rows
    assert key.source is None
    assert [p.where for p in key.problems] == ["line 2, column stops down"]
    assert "Dim level 0.39" in key.problems[0].says
    assert fill.source.reading.level == 25
