"""Pasted tables. Every reading here is invented."""

import pytest

from advisor.imports import TEMPLATE, read_readings
from advisor.model import Kind

#: One lumen on a square foot. [lx]
FC = 1 / 0.3048**2


def one(text):
    """The only row of a text, which must have been understood without a remark."""
    (row,) = read_readings(text).rows
    assert row.problems == []
    return row.source


def colour(source):
    reading = source.reading
    return (reading.cct, reading.duv) if reading.xy is None else reading.xy


@pytest.mark.parametrize(
    "text",
    [
        "Name,CCT,Duv,lux\nInvented key,5600,0.0032,1250\n",
        "Name;CCT;Duv;lux\nInvented key;5600;0,0032;1250\n",
        "Name\tCCT\tDuv\tlux\nInvented key\t5.600\t0,0032\t1.250\n",
        "Name\tCCT\tDuv\tlux\r\nInvented key\t5600 K\t0.0032\t1250 lx\r\n",
        "Name | CCT | Duv | lux\n-----|-----|-----|----\nInvented key | 5600 | 0.0032 | 1250",
        "| Name | CCT | Duv | lux |\n|------|----:|-----|:---:|\n| Invented key | 5600 | 0.0032 | 1250 |",
        "Name           CCT    Duv      lux\nInvented key   5600   0.0032   1250",
        "Duv,lux,Name,CCT\n0.0032,1250,Invented key,5600",
        'Name,CCT,Duv,lux\n"Invented key","5,600","0,0032","1250,0"\n',
        'Name,CCT,Duv,lux\nInvented key,"5,600",0.0032,"1,250"\n',
        "Name;CCT;Duv ×10⁻³;klx\nInvented key;5600;3,2;1,25\n",
        "Name;CCT;Duv;E\n;K;-;(lx)\nInvented key;5600;0.0032;1250\n",
        "Name\tCCT\tDuv\tfc\nInvented key\t5600\t0.0032\t1250 lx\n",
        "\ufeffName,CCT,Duv,lux\rInvented key,5600,0.0032,1250\r",
        "Stage 2, invented\n\nName,CCT,Duv,lux\nInvented key,5 600,3.2×10⁻³,1 250\n",
        ",,,\nName,CCT,Duv,lux,\nInvented key,5600,0.0032,1250,\n,,,,\n",
    ],
)
def test_one_reading_in_many_shapes(text):
    source = one(text)
    assert source.name == "Invented key"
    assert (source.reading.cct, source.reading.duv, source.reading.lux) == (5600, 0.0032, 1250)


@pytest.mark.parametrize(
    ("heading", "cell", "lux"),
    [
        ("fc", "84", 84 * FC),
        ("Illuminance (fc)", "12,5", 12.5 * FC),
        ("Foot-candle(s)", "84", 84 * FC),
        ("lux", "84 fc", 84 * FC),
        ("E", "84 foot-candles", 84 * FC),
        ("lux", "1.2 klx", 1200),
        ("Ev [lx]", "900 lux", 900),
    ],
)
def test_illuminance_comes_in_lux(heading, cell, lux):
    assert one(f"CCT;Duv;{heading}\n5600;0;{cell}").reading.lux == pytest.approx(lux, rel=1e-12)


def test_a_foot_candle_is_10_7639_lux():
    assert one("CCT,Duv,fc\n5600,0,1").reading.lux == pytest.approx(10.7639, abs=5e-5)


# White points to four digits: CIE 15:2018, table 3.1 (D65: x, y = 0.3127, 0.3290 and u′, v′ = 0.1978, 0.4683)
# and CIE 1960 v = 2/3 v′. The tristimulus values of D65 are those of the same table.
@pytest.mark.parametrize(
    "text",
    [
        "x,y\n0.3127,0.3290",
        "CIE 1931 x\tCIE 1931 y\n.3127\t.3290",
        "u′;v′\n0,1978;0,4683",
        "CIE 1976 u,CIE 1976 v\n0.1978,0.4683",
        "u,v\n0.1978,0.3122",
        "X,Y,Z\n95.047,100,108.883",
        "X;Y;Z\n950,47;1000;1088,83",
        "x,y,Y\n0.3127,0.3290,100",
        "x,y,z\n0.3127,0.3290,0.3583",
    ],
)
def test_chromaticity_comes_in_x_y(text):
    assert colour(one(text)) == pytest.approx((0.3127, 0.3290), abs=1e-4)


@pytest.mark.parametrize(
    ("text", "expected", "ignored"),
    [
        (
            "CCT,Duv,x,y\n5600,0.001,0.33,0.34",
            (5600, 0.001),
            ["x, y: not used, the colour is taken from CCT, Duv"],
        ),
        ("CCT,x,y\n5600,0.33,0.34", (0.33, 0.34), ["CCT: not used, the colour is taken from x, y"]),
        ("x,y,u',v'\n0.33,0.34,0.2,0.47", (0.33, 0.34), ["u′, v′: not used, the colour is taken from x, y"]),
        (
            "x,y,X,Y,Z\n0.33,0.34,90,100,80",
            (0.33, 0.34),
            ["X, Y, Z: not used, the colour is taken from x, y"],
        ),
        ("CCT,Duv,x,y\n5600,,0.33,0.34", (0.33, 0.34), ["CCT: not used, the colour is taken from x, y"]),
    ],
)
def test_the_way_a_colour_is_taken(text, expected, ignored):
    paste = read_readings(text)
    assert colour(paste.rows[0].source) == expected
    assert paste.ignored == ignored


@pytest.mark.parametrize(
    ("text", "lux"),
    [
        ("CCT,Duv,lux\n5600,0,850.125", 850.125),  # commas between cells: the point is decimal
        ('CCT,Duv,lux\n5600,"0,003","1.250"', 1250),  # a decimal comma elsewhere: the point is not
        ("CCT;Duv;lux\n5600;0,003;1.250", 1250),
        ("CCT;Duv;lux\n5600;0.003;1.250", 1.25),
        ("CCT;Duv;lux\n5,600;0;1.250", 1.25),  # 5.6 K is no CCT, so the comma parts thousands
        ("CCT;Duv;lux\n5600;0;1.250", 1250),  # nothing tells: thousands
        ("CCT;Duv;lux\n5600;0;1,000,000\n5600;0;1.250", 1.25),
        ("CCT;Duv;lux\n5600;0;1.234,5\n5600;0;1,250", 1.25),
        ("CCT;Duv;lux\n5600;0,001;1\n5600;0.001;1.250", 1250),  # both marks: nothing tells
    ],
)
def test_a_table_tells_its_decimal_mark(text, lux):
    assert read_readings(text).rows[-1].source.reading.lux == lux


def test_rows_are_told_apart_by_name():
    text = "Name,CCT,Duv\nLamp,3200,0\n,3200,0\nlamp,3200,0\nLamp (2),3200,0\nLamp,3200,0\n"
    names = [s.name for s in read_readings(text).sources]
    assert names == ["Lamp", "Source 2", "lamp (2)", "Lamp (2) (2)", "Lamp (3)"]


def test_a_long_name_said_twice_stays_within_its_bounds():
    rows = read_readings("Name,CCT,Duv\n" + ("n" * 80 + ",3200,0\n") * 2).rows
    assert rows[1].source.name == "n" * 76 + " (2)"


def test_kind_and_note_and_what_is_ignored():
    text = (
        "Fixture,Location,Type,CCT,Duv,Mired,CC,Date,Comment\nInvented,Stage,Halogen,3200,0,312,0,May,warm\n"
    )
    paste = read_readings(text)
    source = paste.rows[0].source
    assert (source.name, source.kind, source.note) == ("Invented", Kind.TUNGSTEN, "warm")
    assert paste.ignored == [
        "Location: Fixture is used as the name",
        "Mired: mired is worked out from the CCT here",
        "CC: CC is worked out from the Duv here",
    ]
    assert paste.rows[0].time == "May"
    assert ("Type", "kind") in [(c.heading, c.meaning) for c in paste.columns]


def test_an_unknown_kind_is_left_open_with_a_remark():
    (row,) = read_readings("kind,CCT,Duv\nplasma,5600,0").rows
    assert row.source.kind is Kind.UNKNOWN
    assert [(p.where, "'plasma'" in p.says) for p in row.problems] == [("line 2, column kind", True)]


def test_columns_say_what_they_were_taken_for():
    columns = read_readings("Head;Tcp;Δuv ×10⁻³;Ev (fc)\nA;5600;1;1").columns
    assert [(c.heading, c.meaning) for c in columns] == [
        ("Head", "name"),
        ("Tcp", "CCT [K]"),
        ("Δuv ×10⁻³", "Duv, × 0.001"),
        ("Ev (fc)", "illuminance [fc, read as lx]"),
    ]


@pytest.mark.parametrize(
    ("row", "where", "says", "allowed"),
    [
        ("A,,,\n", "line 3", "no colour is given", "CCT with Duv"),
        ("A,,0.001,\n", "line 3", "CCT is missing", "CCT with Duv"),
        ("A,56o0,0,\n", "line 3, column CCT", "letter O", "1 000 to 25 000 K"),
        ("A,900,0,\n", "line 3, column CCT", "K from mired?", "1 000 to 25 000 K"),
        ("A,5600 lx,0,\n", "line 3, column CCT", "has the unit 'lx'", "K"),
        ("A,5600,3.2,\n", "line 3, column Duv", "0.0032?", "−0.05 to 0.05"),
        ("A,5600,0,dark\n", "line 3, column fc", "'dark' is not a number", "lx"),
        ("A,5600,0,99999999\n", "line 3, column fc", "the text says '99999999'", "1 000 000 lx"),
        ("A,5600,0,003,9\n", "line 3", "the row has 5 cells and the heading line 4", "quotes"),
        ("n" * 81 + ",5600,0,\n", "line 3, column Name", "81 characters", "1 to 80 characters"),
    ],
)
def test_a_row_that_is_not_understood_says_why_and_blocks_no_other(row, where, says, allowed):
    before, wrong, after = read_readings(f"Name,CCT,Duv,fc\nA,5600,0,1\n{row}B,3200,0,1\n").rows
    assert before.source.name == "A" and after.source.name == "B"
    assert wrong.source is None
    assert (wrong.line, wrong.text) == (3, row.rstrip("\n"))
    (problem,) = wrong.problems
    assert problem.where == where
    assert says in problem.says
    assert allowed in problem.allowed.replace("\N{NARROW NO-BREAK SPACE}", " ")


def test_all_that_is_wrong_in_a_row_is_told():
    (row,) = read_readings("CCT,Duv,lux\n900,9,0").rows
    assert [p.where for p in row.problems] == [f"line 2, column {c}" for c in ("CCT", "Duv", "lux")]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("x,y\n0.8,0.5", "x = 0.8, y = 0.5 is not a colour"),
        ("x,y\n0.3,0", "y = 0 is not a colour"),
        ("u',v'\n0,0.9", "v′ = 0.9 is not a colour"),
        ("u,v\n0,0.6", "v = 0.6 is not a colour"),
        ("X,Y,Z\n0,0,0", "Z = 0 is not a colour"),
        ("x,y\n0.3,1.5", "y 1.5 is out of range"),
        ("x\n0.3", "y is missing"),
        ("u',v\n0.2,0.3", "v′ is missing"),
    ],
)
def test_what_is_no_colour(text, says):
    (row,) = read_readings(text).rows
    assert row.source is None
    assert says in row.problems[0].says


def test_a_table_set_apart_by_spaces_needs_every_cell():
    first, second = read_readings("Name  CCT  Duv  lux\nA b  5600  0  -\nB  5600  0").rows
    assert first.source.name == "A b" and first.source.reading.lux is None
    assert "the row has 3 cells and the heading line 4" in second.problems[0].says


def test_units_that_do_not_fit_their_headings_are_a_row_like_any_other():
    assert [r.source for r in read_readings("CCT,Duv\nlx,K\n").rows] == [None]


def test_blanks_around_quoted_cells_do_not_count():
    assert one('Name,CCT,Duv\n "Key, left" , "5,600" ,0').name == "Key, left"


def test_only_so_much_is_listed_as_ignored():
    text = "Title, invented\n" * 3 + "CCT,Duv," + ",".join(f"S{i}" for i in range(60)) + "\n5600,0\n"
    ignored = read_readings(text).ignored
    assert ignored[:4] == ["Title, invented"] * 3 + ["S0"]
    assert ignored[50:] == ["and 13 more"]


def test_headings_that_come_again_are_no_row():
    assert len(read_readings("CCT,Duv\n5600,0\nCCT,Duv\n3200,0\n").rows) == 2


@pytest.mark.parametrize(
    ("headings", "columns"),
    [
        ("CCT,Duv,Tcp (K)", ["column 1 ('CCT')", "column 3 ('Tcp (K)')", "CCT"]),
        ("Duv,CCT,Δuv", ["column 1 ('Duv')", "column 3 ('Δuv')", "Duv"]),
        ("lux,E,CCT,Duv", ["column 1 ('lux')", "column 2 ('E')", "illuminance"]),
        ("Name,name,CCT,Duv", ["column 1 ('Name')", "column 2 ('name')", "name"]),
        ("x,y,CIE x", ["column 1 ('x')", "column 3 ('CIE x')", "x"]),
    ],
)
def test_two_columns_for_one_thing_are_asked_about(headings, columns):
    paste = read_readings(headings + "\n1,2,3,4\n")
    question = paste.asked[0]
    assert (question.open, question.blocks, question.lasting) == (True, True, True)
    assert all(c in question.says for c in columns)
    assert [row.source for row in paste.rows] == [None]


def test_the_column_that_is_said_to_be_read_counts():
    text = "Head,CCT measured,CCT target,Duv\nKey,5480,5600,0.004\n"
    (question,) = read_readings(text).asked
    assert [(c.value, c.words) for c in question.choices] == [("2", "CCT measured"), ("3", "CCT target")]
    assert question.likely == "2"
    for value, cct in (("2", 5480), ("3", 5600)):
        assert read_readings(text, {question.key: value}).sources[0].reading.cct == cct


def test_lux_is_taken_where_foot_candles_stand_beside_it():
    paste = read_readings("CCT,Duv,fc,lux\n5600,0,83.6,900")
    assert paste.rows[0].source.reading.lux == 900
    assert paste.ignored == ["fc: lux is used as the illuminance"]


def test_the_template_reads_back_cleanly():
    paste = read_readings(TEMPLATE)
    head = TEMPLATE.splitlines()[0]
    assert head == "name,kind,cct,duv,x,y,lux,dim %,modifier,dial cct,dial green,note"
    assert [r.problems for r in paste.rows] == [[]] * 5
    assert paste.ignored == []
    assert len(paste.columns) == 12
    assert all("Invented" in s.note for s in paste.sources)
    assert [s.kind for s in paste.sources] == [Kind.DAYLIGHT, Kind.TUNGSTEN, Kind.LED_WHITE]
    assert [len(s.readings) for s in paste.sources] == [0, 0, 2]
