"""Transmittances beside a gel table. Every gel and curve here is invented."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.imports import read_gels, write_gels
from advisor.imports.gels.curves import Folder, curve_file, is_plain_name, write_curves
from advisor.imports.gels.transmittance import CurveAs
from advisor.model import Gel, GelTable, Refused, Transmittance
from tests.strategies import STEADY, gel_tables

HEAD = "family,fraction,mired,cc,stops,stock,note,spectrum\n"
CURVE = Transmittance(start=380, step=5, values=[0.9 - 0.005 * i for i in range(81)])
AMBER = Gel(family="Amber", fraction="1/4", mired=30, transmittance=CURVE)
PLAIN = Gel(family="ND", fraction="0.3", stops=1)
FILES = write_curves(GelTable(rows=[AMBER]))


def faults(*given, **named):
    with pytest.raises(Refused) as refused:
        read_gels(*given, **named)
    return [(p.where, p.says, p.allowed) for p in refused.value.problems]


def test_a_gel_takes_the_transmittance_that_its_row_names():
    table = read_gels(HEAD + "Amber,1/4,30,,,,,Amber 1-4.csv\nND,0.3,,,1,,,\n", FILES)
    assert table == GelTable(rows=[AMBER, PLAIN])


@pytest.mark.parametrize("name", ["amber 1-4.CSV", "AMBER 1-4.csv"])
def test_letter_case_is_no_other_file(name):
    assert read_gels(HEAD + f"Amber,1/4,30,,,,,{name}\n", FILES).rows == [AMBER]


def test_composed_and_decomposed_accents_are_one_name():
    files = {"Rose\N{COMBINING ACUTE ACCENT} full.csv": FILES["Amber 1-4.csv"]}
    text = (
        HEAD
        + "Ros\N{LATIN SMALL LETTER E WITH ACUTE},full,30,,,,,Ros\N{LATIN SMALL LETTER E WITH ACUTE} full.csv"
    )
    assert read_gels(text, files).rows[0].transmittance == CURVE


def test_one_file_may_serve_several_rows():
    rows = read_gels(
        HEAD + "A,full,30,,,,,x.csv\nB,full,30,,,,,x.csv\n", {"x.csv": FILES["Amber 1-4.csv"]}
    ).rows
    assert [g.transmittance for g in rows] == [CURVE, CURVE]


def test_the_column_is_written_only_where_a_gel_was_measured():
    assert "spectrum" not in write_gels(GelTable(rows=[PLAIN]))
    text = write_gels(GelTable(rows=[AMBER, PLAIN]))
    assert text.splitlines()[0] == HEAD.strip()
    assert [line.rpartition(",")[2] for line in text.splitlines()[1:]] == ["Amber 1-4.csv", ""]
    off = GelTable(rows=[AMBER.model_copy(update={"on": False})])
    assert write_gels(off).splitlines()[0].endswith(",note,spectrum,on")


def test_curves_are_written_as_two_columns_under_the_names_that_the_table_says():
    assert list(FILES) == [curve_file(AMBER)] == ["Amber 1-4.csv"]
    lines = FILES["Amber 1-4.csv"].split("\r\n")
    assert lines[:3] == ["wavelength,transmittance", "380,0.9", "385,0.895"]
    assert (len(lines), lines[-1]) == (83, "")


SHORT = "wavelength,transmittance\n" + "".join(f"{nm},0.8\n" for nm in range(450, 660, 5))
BRIGHT = "wavelength,transmittance\n" + "".join(f"{nm},104\n" for nm in range(380, 785, 5))
BROKEN = "wavelength,transmittance\n" + "".join(
    f"{nm},{'x' if nm == 400 else 0.5}\n" for nm in range(380, 785, 5)
)


@pytest.mark.parametrize(
    ("cell", "files", "says", "allowed"),
    [
        ("no.csv", {}, "the file 'no.csv' is not beside the table", "given together with the table"),
        ("no.csv", {"a.csv": "", "b.csv": ""}, "'no.csv' is not beside", "one of a.csv, b.csv, or empty"),
        ("no.csv", {f"{c}.csv": "" for c in "abcdefgh"}, "'no.csv'", "f.csv, …, or empty"),
        ("curves/a.csv", {"curves/a.csv": ""}, "'curves/a.csv' is not a plain file name", "no folder"),
        ("..\\a.csv", {}, "is not a plain file name", "no folder"),
        ("..", {}, "is not a plain file name", "no folder"),
        ("C:a.csv", {}, "is not a plain file name", "no folder"),
        ("a.csv", {"a.csv": ""}, "a.csv, text: there is no text", "at least"),
        ("a.csv", {"a.csv": b"PK\x03\x04"}, "a.csv, text: this is a spreadsheet", "CSV"),
        ("a.csv", {"a.csv": SHORT}, "a.csv, line 2: the spectrum runs from 450 to 655 nm", "from 400 nm"),
        ("a.csv", {"a.csv": BRIGHT}, "a.csv: the transmittance at 380 nm is 104 %", "0 to 100 %"),
        ("a.csv", {"a.csv": BROKEN}, "no number at 400 nm (x): left out", "a number at each"),
        ("A.csv", {"a.csv": SHORT, "a.CSV": SHORT}, "'A.csv' is not beside", "one of"),
    ],
)
def test_a_spectrum_that_cannot_be_had_is_told_with_line_column_and_value(cell, files, says, allowed):
    ((where, said, may),) = faults(HEAD + f"ND,0.3,,,1,,,\nAmber,1/4,30,,,,,{cell}\n", files)
    assert where == "line 3, column spectrum"
    assert says in said
    assert allowed in may


def test_every_fault_is_told_also_where_the_curve_is_one_of_them():
    text = HEAD + "A,full,,,,,,no.csv\nB,full,hot,,,-1,,no.csv\nC,full,9,,,,,Amber 1-4.csv\n"
    assert [where for where, _, _ in faults(text, FILES)] == [
        "line 2, column spectrum",
        "line 3, column spectrum",
        "line 3, column mired",
        "line 3, column stock",
    ]


def test_a_row_may_leave_its_figures_to_the_check_only_with_a_curve():
    def describe(rows):
        return [gel.model_copy(update={"mired": 31.0, "stops": None}) for gel in rows]

    text = HEAD + "Amber,1/4,,,,,,Amber 1-4.csv\n"
    assert read_gels(text, FILES, describe).rows[0].mired == 31
    assert "shifts no colour" in faults(text, FILES)[0][1]
    assert "shifts no colour" in faults(HEAD + "Amber,1/4,,,,,,\n", FILES, describe)[0][1]


@pytest.mark.parametrize(
    ("name", "plain"),
    [("a.csv", True), ("Rosé 1-4.csv", True), ("a" * 255, True), ("", False), (".", False), ("..", False)]
    + [(n, False) for n in ("a/b", "a\\b", "/a", "c:a", "a\0b", "a\nb", " ", "a" * 256)],
)
def test_a_plain_name_leads_nowhere(name, plain):
    assert is_plain_name(name) is plain


class TestFolder:
    def test_files_are_read_by_name_and_nothing_outside(self, tmp_path):
        (tmp_path / "in").mkdir()
        (tmp_path / "in" / "a.csv").write_bytes(b"inside")
        (tmp_path / "secret.csv").write_bytes(b"outside")
        folder = Folder(tmp_path / "in")
        assert folder["a.csv"] == b"inside"
        assert (list(folder), len(folder)) == (["a.csv"], 1)
        for name in ("no.csv", "../secret.csv", str(tmp_path / "secret.csv"), "..", "", "a\0"):
            assert name not in folder
            with pytest.raises(KeyError):
                folder[name]

    def test_a_folder_is_no_file(self, tmp_path):
        (tmp_path / "a.csv").mkdir()
        assert "a.csv" not in Folder(tmp_path)

    def test_of_a_large_file_only_as_much_is_read_as_shows_that_it_is_too_large(self, tmp_path):
        (tmp_path / "a.csv").write_bytes(b"1" * 1_500_000)
        assert len(Folder(tmp_path)["a.csv"]) == 1_000_001
        text = HEAD + "Amber,1/4,30,,,,,a.csv\n"
        assert "1 000 001 bytes" in faults(text, Folder(tmp_path))[0][1]

    def test_a_file_that_cannot_be_read_is_told(self, tmp_path, monkeypatch):
        (tmp_path / "a.csv").write_bytes(b"1")

        def denied(*_):
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr("pathlib.Path.open", denied)
        found = faults(HEAD + "Amber,1/4,30,,,,,a.csv\n", Folder(tmp_path))
        assert found[0][0] == "line 2, column spectrum"
        assert "'a.csv' cannot be read: Permission denied" in found[0][1]


@st.composite
def curves(draw):
    """Make transmittances of any step that reach from 400 to 700 nm, within what a text keeps."""
    start, step = draw(st.integers(300, 400)), draw(st.sampled_from([1, 2, 2.5, 4, 5, 10]))
    least = math.ceil((700 - start) / step) + 1
    size = draw(st.integers(least, least + int(200 / step)))
    values = st.one_of(st.floats(0, 1), st.sampled_from([0.0, 1e-7, 1.0]))
    made = draw(st.lists(values, min_size=size, max_size=size).filter(lambda v: max(v) > 0.001))
    return Transmittance(start=start, step=step, values=made)


@st.composite
def measured_tables(draw):
    table = draw(gel_tables(4).filter(lambda t: t.rows))
    rows = [g.model_copy(update={"transmittance": draw(st.none() | curves())}) for g in table.rows]
    return GelTable(rows=rows)


@STEADY
@given(measured_tables())
def test_a_table_with_its_curves_survives_being_written_and_read(table):
    files = write_curves(table)
    assert len(files) == sum(g.transmittance is not None for g in table.rows)
    assert all(map(is_plain_name, files))
    back = read_gels(write_gels(table), files)
    assert back == table


ONE_ROW = HEAD + "Amber,full,30,,,,,x.csv\n"
DENSITIES = {"x.csv": "nm,density\n" + "".join(f"{nm},0.3\n" for nm in range(380, 785, 5))}


class TestDensities:
    """A curve whose heading says density, in a table that is read with nobody to ask."""

    def test_it_is_refused_until_somebody_says_what_it_is(self):
        [(where, says, allowed)] = faults(ONE_ROW, DENSITIES)
        assert where == "line 2, column spectrum"
        assert says == "x.csv: the values, 0.3 to 0.3, are headed as density"
        assert "10^−D" in allowed

    def test_it_is_taken_as_was_said(self):
        (row,) = read_gels(ONE_ROW, DENSITIES, take={"Amber full": CurveAs.DENSITY}).rows
        assert row.transmittance.values == pytest.approx([0.501187] * 81, abs=1e-6)  # 10^-0.3

    def test_percents_are_not_taken_as_densities(self):
        percents = {"x.csv": "nm,T\n" + "".join(f"{nm},80\n" for nm in range(380, 785, 5))}
        [(_, says, _)] = faults(ONE_ROW, percents, take={"Amber full": CurveAs.DENSITY})
        assert says == "x.csv cannot be density"
