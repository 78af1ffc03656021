"""The gel table as CSV. Every gel here is invented, but for the general names of the trade."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.imports import read_gels, write_gels
from advisor.imports.gels.csv_table import is_gel_table
from advisor.model import Gel, GelTable, Refused
from tests.thorough import cases

HEAD = "family,fraction,mired,cc,stops,stock,note\n"
ROW = "CTO,1/4,33.5,0,0.2,3,invented\n"
GEL = Gel(family="CTO", fraction="1/4", mired=33.5, cc=0, stops=0.2, stock=3, note="invented")


def faults(text):
    with pytest.raises(Refused) as refused:
        read_gels(text)
    return [(p.where, p.says, p.allowed) for p in refused.value.problems]


@pytest.mark.parametrize(
    "text",
    [
        HEAD + ROW,
        "\ufeff" + (HEAD + ROW).replace("\n", "\r\n"),
        HEAD.upper() + ROW,
        "Note, Stock ,stops,cc,mired,fraction,family\ninvented,3,.2,0,33.5,1/4,CTO",
        (HEAD + "CTO;1/4;33,5;0;0,2;3;invented\n")
        .replace(",mired,cc,stops,stock,note", ";mired;cc;stops;stock;note")
        .replace("family,", "family;"),
        (HEAD + ROW).replace(",", "\t"),
        "# a comment, with commas\n\n"
        + HEAD
        + "  # another\n"
        + ROW
        + '"# a third, as spreadsheets save it",,,,,,\n',
        ",,,\n" + HEAD + ROW,
        HEAD.strip() + ",,\n" + ROW.strip() + ",,\n,,,,,,,,\n",
        HEAD + '"CTO","1/4","33,5","0","0.2 stops","3 sheets","invented"\n',
        HEAD + "CTO,4-Jan,33.5,,0.2,3,invented\n",
        "family,fraction,mired,cc,stops,stock,note,on\nCTO,1/4,33.5,0,0.2,3,invented,YES\n",
        "family,fraction,mired,cc,stops,stock,note,on\nCTO,1/4,33.5,0,0.2,3,invented,\n",
    ],
)
def test_one_gel_in_many_shapes(text):
    assert read_gels(text) == GelTable(rows=[GEL])


def test_family_and_fraction_suffice_with_one_effect():
    table = read_gels("family,fraction,cc\nPlus green,Full,30\n")
    assert table == GelTable(rows=[Gel(family="Plus green", fraction="full", cc=30)])


@pytest.mark.parametrize("text", [HEAD, "# a comment\n" + HEAD + "# another\n,,,,,,\n"])
def test_a_header_alone_is_refused(text):
    assert faults(text) == [("file", "the table holds no gel", "a row for each gel")]


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("4-Jan", "1/4"),
        ("04-Jan", "1/4"),
        ("1-Apr", "1/4"),
        ("01. Apr", "1/4"),
        ("Jan-04", "1/4"),
        ("8-Jan", "1/8"),
        ("1/8/2025", "1/8"),
        ("01.02.2025", "1/2"),
        ("2025-03-04", "3/4"),
        ("2025-04-03 00:00:00", "3/4"),
    ],
)
def test_a_fraction_that_a_spreadsheet_took_for_a_date_comes_back(written, read):
    assert read_gels(f"family,fraction,mired\nCTO,{written},9\n").rows[0].fraction == read


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "family,fraction,mired,weight\nCTO,1/4,9,2",
            (
                "line 1, column 4",
                "'weight' is not known",
                "stock, note, reference, known, percent, spectrum, on",
            ),
        ),
        (
            "family,fraction,mired,Mired\nCTO,1/4,9,9",
            ("line 1, column 4", "is there twice, as 3 and 4", "once"),
        ),
        ("family,mired\nCTO,9", ("line 1", "fraction is missing", "family,fraction")),
        ("fraction,mired\n1/4,9", ("line 1", "family is missing", "family,fraction")),
        ("# only\n# comments", ("file", "only comments", "family,fraction")),
        (HEAD + "CTO,1/4,warm,0,,,", ("line 2, column mired", "'warm' is not a number", "mired")),
        (HEAD + "CTO,1/4,9 K,0,,,", ("line 2, column mired", "has the unit 'K'", "mired")),
        (HEAD + "CTO,1/4,9,101,,,", ("line 2, column cc", "101 is out of range", "−100 to 100 CC")),
        (HEAD + "CTO,1/4,9,0,-11,,", ("line 2, column stops", "11 is out of range", "0 to 10 stops")),
        (HEAD + "CTO,1/4,9,0,,2.5,", ("line 2, column stock", "not a whole number", "whole numbers")),
        (HEAD + "CTO,5/4,9,0,,,", ("line 2, column fraction", "'5/4' is not one", "a fraction such as 1/8")),
        (HEAD + "CTO,,9,0,,,", ("line 2, column fraction", "fraction is empty", "give fraction")),
        (HEAD + ",1/4,9,0,,,", ("line 2, column family", "family is empty", "give family")),
        (HEAD + "8CTO,1/4,9,0,,,", ("line 2, column family", "'8CTO'", "a letter first")),
        (HEAD + "CTO,1/4,,,,,", ("line 2", "CTO 1/4 shifts no colour and gives no stops", "stops")),
        (HEAD + "CTO,1/4,33,5,0,0,2,3,x", ("line 2", "has 9 cells and the header 7", "quotation marks")),
        (HEAD + 'CTO,1/4,9,0,,,"open', ("line 2", "quotation mark", "around a whole cell")),
        (
            "family,fraction,mired,on\nCTO,1/4,9,maybe",
            ("line 2, column on", "'maybe' is not yes or no", "yes or no"),
        ),
        (
            HEAD + "CTO,1/4,9,0,,,\n\ncto,1/4,9,0,,,",
            ("line 4", "stands on line 2 and again on line 4", "once"),
        ),
        (HEAD + "CTO,1/4,9,0,,," + "n" * 501, ("line 2, column note", "501 characters", "at most 500")),
        (HEAD + ",".join("a" * 101), ("line 2", "has 101 cells", "as many")),
        (HEAD.strip() + ",a" * 94, ("file", "has 101 columns", "family,fraction")),
    ],
)
def test_a_fault_says_where_what_and_what_instead(text, expected):
    ((where, says, allowed),) = faults(text)
    assert where == expected[0]
    assert expected[1] in says
    assert expected[2] in allowed


def test_all_faults_of_a_file_are_told_at_once():
    rows = "CTO,9/4,hot,0,1\nCTB,1/4,-9,0,2\nCTB,1/4,-9,cold,3\nctb,1/4,-9,0,4\n"
    text = "family,fraction,mired,cc,weight\n" + rows
    assert [where for where, _, _ in faults(text)] == [
        "line 1, column 5",
        "line 2, column fraction",
        "line 2, column mired",
        "line 4, column cc",
        "line 5",
    ]


def test_faults_of_the_rows_are_told_even_without_a_family_column():
    assert [w for w, _, _ in faults("fraction,mired\n1/4,hot\n1/2,9\n")] == ["line 1", "line 2, column mired"]


def only_weak(rows):
    """Refuse what shifts by more than 100 MK⁻¹, as a caller may who knows what is possible."""
    return [
        Refused.one("mired", f"{gel.name} is too strong", "up to 100")
        if abs(gel.mired) > 100
        else gel.model_copy(update={"note": "seen"})
        for gel in rows
    ]


def test_whoever_reads_the_table_may_check_every_row_and_is_told_its_line():
    text = HEAD + "A,full,200,,,,\n# a remark\nB,full,20,,,,\nC,full,hot,,,,\n\nD,full,-300,,,,\n"
    with pytest.raises(Refused) as refused:
        read_gels(text, check=only_weak)
    assert [(p.where, p.says[:10]) for p in refused.value.problems] == [
        ("line 2, column mired", "A full is "),
        ("line 5, column mired", "Mired shif"),
        ("line 7, column mired", "D full is "),
    ]


def test_what_the_check_returns_is_taken():
    assert read_gels(HEAD + "B,full,20,,,,\n", check=only_weak).rows[0].note == "seen"


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        (HEAD, True),
        ("# remark\nFraction;note;FAMILY\n", True),
        (HEAD.replace("note", "nonsense"), True),
        ("wavelength,transmittance\n380,0.5\n", False),
        ("family,mired\n", False),
        ("", False),
        ("# only a comment", False),
        (b"PK\x03\x04", False),
        ("<html>family,fraction</html>", False),
    ],
)
def test_a_gel_table_is_told_by_its_header(text, is_one):
    assert is_gel_table(text) is is_one


def test_five_hundred_rows_and_no_more():
    rows = "".join(f"G{i},1/4,9\n" for i in range(501))
    assert faults("family,fraction,mired\n" + rows)[0][1] == "the table has more than 500 rows"
    assert len(read_gels("family,fraction,mired\n" + rows.removesuffix("G500,1/4,9\n")).rows) == 500


@pytest.mark.parametrize(
    "note", ["=1+1", "+1", "-1", "@SUM(A1)", "'=1+1", "''@x", "＝1", "'quoted'", "a=b", "-"]
)
def test_a_note_cannot_become_a_formula_and_survives(note):
    table = GelTable(rows=[Gel(family="CTB", fraction="full", mired=-133.93, cc=-1, note=note)])
    written = write_gels(table)
    assert not any(f",{sign}" in written.replace(",-133.93,-1,", "") for sign in "=+@-＝")
    assert ",-133.93,-1," in written
    assert read_gels(written) == table


def test_what_is_written():
    rows = [GEL, Gel(family="ND", fraction="0.3", stops=1)]
    text = write_gels(GelTable(rows=rows))
    assert text == HEAD.replace("\n", "\r\n") + "CTO,1/4,33.5,0,0.2,3,invented\r\nND,0.3,0,0,1,,\r\n"


def test_on_is_written_only_where_a_gel_is_off():
    rows = [GEL, Gel(family="ND", fraction="0.3", stops=1, on=False)]
    text = write_gels(GelTable(rows=rows))
    assert text.splitlines()[0].endswith(",note,on")
    assert [line.rpartition(",")[2] for line in text.splitlines()[1:]] == ["yes", "no"]
    assert read_gels(text).rows == rows


NOTES = st.text(max_size=60) | st.lists(
    st.sampled_from(
        ["=", "+", "-", "@", "'", '"', '""', "#", "<table>", "\n", "\r", "\t", ",", ";", "x", " ", "＝"]
    ),
    max_size=12,
).map("".join)
# As the model keeps text that a person typed: without control signs, and trimmed.
NOTES = NOTES.map(lambda text: "".join(c for c in text if c.isprintable() or c == "\n").strip())
GELS = st.builds(
    Gel,
    family=st.from_regex(r"[A-Za-zÄß][A-Za-z0-9 .&()+-]{0,12}", fullmatch=True),
    fraction=st.sampled_from(["1/8", "1/4", "1/2", "3/4", "full", "0.15", "1.2"]),
    mired=st.floats(-500, 500),
    cc=st.floats(-100, 100),
    stops=st.floats(0, 10),
    stock=st.none() | st.integers(0, 9999),
    note=NOTES,
    on=st.booleans(),
)
TABLES = st.lists(GELS, min_size=1, max_size=6, unique_by=lambda g: g.name.casefold()).map(
    lambda rows: GelTable(rows=rows)
)


@given(TABLES)
@settings(deadline=None, max_examples=cases(300))
def test_a_table_survives_being_written_and_read(table):
    text = write_gels(table)
    assert read_gels(text) == table
    assert read_gels(text.encode("utf-8-sig")) == table
    assert read_gels(text.encode("utf-16")) == table
