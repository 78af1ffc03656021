"""A gel table and its curves as one archive, or as several files. Every gel here is invented."""

import io
import random
import struct
import zipfile

import pytest

from advisor.imports import read_gels, write_gels
from advisor.imports.gels.bundle import choose_table, is_archive, pack, unpack
from advisor.imports.gels.curves import write_curves
from advisor.model import Gel, GelTable, Refused, Transmittance

MOST_BYTES = 20_000_000
MOST_FILES = 251
"""A table and 250 curves."""

CURVE = Transmittance(start=380, step=5, values=[0.9 - 0.005 * i for i in range(81)])
TABLE = GelTable(
    rows=[
        Gel(family="Amber", fraction="1/4", mired=30, note="=invented", transmittance=CURVE),
        Gel(family="ND", fraction="0.3", stops=1),
    ]
)
CSV = write_gels(TABLE).encode()
CURVES = {name: text.encode() for name, text in write_curves(TABLE).items()}
PLAIN = b"family,fraction,mired\nAmber,full,90\n"


def zipped(files, **how):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", **how) as archive:
        for name, data in files:
            archive.writestr(name, data)
    return out.getvalue()


def fault(function, *given):
    with pytest.raises(Refused) as refused:
        function(*given)
    (problem,) = refused.value.problems
    assert problem.allowed
    return problem.says


class TestPacking:
    def test_what_is_packed_comes_back(self):
        files = unpack(pack(TABLE))
        assert list(files) == ["gels.csv", "Amber 1-4.csv"]
        table, beside = choose_table({"gels.zip": pack(TABLE)})
        assert read_gels(table, beside) == TABLE

    def test_equal_tables_give_equal_bytes(self):
        assert pack(TABLE) == pack(TABLE.model_copy(deep=True))

    def test_any_unpacker_reads_it(self, tmp_path):
        (tmp_path / "gels.zip").write_bytes(pack(TABLE))
        with zipfile.ZipFile(tmp_path / "gels.zip") as archive:
            assert archive.testzip() is None
            assert archive.read("gels.csv") == CSV
            assert {i.external_attr >> 16 for i in archive.infolist()} == {0o644}


class TestUnpacking:
    @pytest.mark.parametrize(
        "name", ["../gels.csv", "/etc/gels.csv", "a/gels.csv", "a/", "..", "c:gels.csv", "a\\b.csv"]
    )
    def test_paths_are_refused(self, name):
        assert "not a plain file name" in fault(unpack, zipped([(name, PLAIN)]))

    def test_what_one_system_adds_by_itself_is_left_out(self):
        assert list(unpack(zipped([("gels.csv", PLAIN), ("__MACOSX/._gels.csv", b"\0")]))) == ["gels.csv"]

    def test_a_bomb_is_refused_by_what_it_would_become(self):
        bomb = zipped([(f"{i}.csv", bytes(10_000_000)) for i in range(3)], compression=zipfile.ZIP_DEFLATED)
        assert len(bomb) < 100_000
        assert fault(unpack, bomb) == "the .zip holds 30 MB"

    def test_a_bomb_that_lies_about_its_size_is_read_no_further_than_it_says(self):
        data = zipped([("a.csv", bytes(MOST_BYTES + 1))], compression=zipfile.ZIP_DEFLATED)
        lie = data.replace(struct.pack("<L", MOST_BYTES + 1), struct.pack("<L", 100))
        assert lie != data
        assert "cannot be opened" in fault(unpack, lie)

    def test_files_are_counted(self):
        files = [(f"{i}.csv", b"") for i in range(MOST_FILES + 1)]
        assert fault(unpack, zipped(files)) == f"there are {MOST_FILES + 1} files"
        assert len(unpack(zipped(files[:-1]))) == MOST_FILES

    @pytest.mark.filterwarnings("ignore:Duplicate name")
    def test_a_name_stands_once(self):
        assert fault(unpack, zipped([("a.csv", b"1"), ("a.csv", b"2")])) == "the .zip holds 'a.csv' twice"

    def test_an_encrypted_one_is_refused(self):
        data = bytearray(zipped([("a.csv", b"1")]))
        data[data.index(b"PK\x01\x02") + 8] |= 1
        assert fault(unpack, bytes(data)) == "the .zip is encrypted"

    @pytest.mark.parametrize("method", [zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2])
    def test_unusual_packing_is_refused(self, method):
        assert "unusual" in fault(unpack, zipped([("a.csv", b"1")], compression=method))

    def test_a_spreadsheets_own_file_is_told(self):
        data = zipped([("[Content_Types].xml", b"<x/>"), ("xl/workbook.xml", b"<x/>")])
        assert "spreadsheet" in fault(unpack, data)

    @pytest.mark.parametrize("data", [b"PK\x03\x04", b"PK\x05\x06", pack(TABLE)[:-30], pack(TABLE)[:200]])
    def test_a_broken_one_is_told(self, data):
        assert is_archive(data)
        assert "cannot be opened" in fault(unpack, data)

    def test_whatever_bits_are_turned_it_is_read_or_refused(self):
        good, chance = pack(TABLE), random.Random(3)
        seen = set()
        for _ in range(2000):
            data = bytearray(good)
            for _ in range(chance.randint(1, 4)):
                data[chance.randrange(len(data))] = chance.randrange(256)
            try:
                unpack(bytes(data))
                seen.add("read")
            except Refused:
                seen.add("refused")
        assert seen == {"read", "refused"}


class TestChoosing:
    def test_the_table_is_told_by_its_header_whatever_its_name(self):
        files = {**CURVES, "my truck (2).txt": CSV}
        table, beside = choose_table(files)
        assert (table, beside) == (CSV, CURVES)

    def test_a_pasted_table_may_have_files_beside_it(self):
        assert choose_table(CURVES, CSV.decode()) == (CSV.decode(), CURVES)

    def test_a_chosen_table_goes_before_a_pasted_one(self):
        assert choose_table({"gels.csv": PLAIN}, CSV.decode()) == (PLAIN, {})

    def test_a_single_file_that_is_no_table_is_read_to_be_told_why(self):
        assert choose_table({"a.csv": b"cct,duv\n"}) == (b"cct,duv\n", {})

    def test_a_curve_that_no_row_names_is_told_and_not_dropped(self):
        assert (
            fault(choose_table, {"gels.csv": PLAIN, **CURVES}) == "no row of the table names 'Amber 1-4.csv'"
        )
        # Also where a mended table is chosen whose header is wrong still, beside the text of the first try.
        assert "names 'gels.csv'" in fault(choose_table, {"gels.csv": b"famly,fraction\n"}, CSV.decode())

    def test_two_tables_are_told(self):
        assert fault(choose_table, {"a.csv": PLAIN, "b.csv": CSV}) == "a.csv and b.csv are gel tables"

    def test_no_table_is_told(self):
        assert fault(choose_table, {**CURVES, "b.csv": b"1"}) == "none of the 2 files is a gel table"
        assert fault(choose_table, {"empty.zip": zipped([])}) == "none of the 0 files is a gel table"

    def test_an_archive_among_other_files_is_told(self):
        assert "archive among other files" in fault(choose_table, {"a.csv": PLAIN, "b.zip": pack(TABLE)})
