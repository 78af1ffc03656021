"""`advisor check-gels` reads a file as pages do, and names every wrong cell."""

import pytest

from advisor import cli
from advisor.resources import folder

HEAD = "family,fraction,mired,cc,stops,stock,note\n"


@pytest.fixture
def gel_file(tmp_path):
    def write(text):
        path = tmp_path / "gels.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return str(path)

    return write


class TestCheckGels:
    def test_the_shipped_table_is_well(self, capsys):
        assert cli.main(["check-gels", str(folder("gels") / "generic.csv")]) == 0
        assert capsys.readouterr().out.endswith("27 gels, nothing wrong\n")

    def test_every_wrong_cell_is_named_line_by_line(self, gel_file, capsys):
        file = gel_file(HEAD + "CTO,1/4,33,,,,\nCTO,1/0,x,,,,\n# a remark\nTeal,full,,400,,-2,\n")
        assert cli.main(["check-gels", file]) == 1
        said = capsys.readouterr().out.splitlines()
        assert [line.split(": ")[0] for line in said] == [
            "line 3, column fraction",
            "line 3, column mired",
            "line 5, column cc",
            "line 5, column stock",
        ]
        for line, value in zip(said, ("'1/0'", "'x'", "400", "-2"), strict=True):
            assert value in line
            assert "Allowed: " in line

    def test_a_gel_that_nothing_can_do_is_named(self, gel_file, capsys):
        rows = "Amber,full,-300,,,,\nTeal,full,-20,,,,\n# a remark\nRust,full,134,,0.1,,\n"
        assert cli.main(["check-gels", gel_file(HEAD + rows)]) == 1
        said = capsys.readouterr().out.splitlines()
        assert said[0].startswith("line 2, column mired: Amber full: this shift")
        assert said[1].startswith("line 5, column stops: Rust full: 0.1 stops is too little")
        assert len(said) == 2

    def test_a_table_without_gels_is_told(self, gel_file, capsys):
        assert cli.main(["check-gels", gel_file(HEAD)]) == 1
        assert "the table holds no gel" in capsys.readouterr().out

    def test_curves_beside_the_table_are_read(self, gel_file, tmp_path, capsys):
        file = gel_file("family,fraction,spectrum\nAmber,full,amber.csv\nTeal,full,no.csv\n")
        (tmp_path / "amber.csv").write_text(
            "".join(f"{nm},{(nm - 300) / 600}\n" for nm in range(380, 785, 5))
        )
        assert cli.main(["check-gels", file]) == 1
        assert capsys.readouterr().out.startswith("line 3, column spectrum: the file 'no.csv' is not beside")
        (tmp_path / "no.csv").write_text("".join(f"{nm},{(900 - nm) / 600}\n" for nm in range(380, 785, 5)))
        assert cli.main(["check-gels", file]) == 0
        assert capsys.readouterr().out == f"{file}: 2 gels (2 measured), nothing wrong\n"

    def test_curves_that_the_import_will_ask_about_are_warned_of(self, gel_file, tmp_path, capsys):
        file = gel_file("family,fraction,mired,spectrum\nAmber,full,60,amber.csv\nTeal,full,,teal.csv\n")
        cooling = "".join(f"{nm},{(900 - nm) / 600}\n" for nm in range(380, 785, 5))
        (tmp_path / "amber.csv").write_text(cooling)
        (tmp_path / "teal.csv").write_text("nm,density\n" + cooling)
        assert cli.main(["check-gels", file]) == 0
        first, second, last = capsys.readouterr().out.splitlines()
        assert first.startswith("warning: line 2, column spectrum: Amber full: this curve shifts −")
        assert "The label says +60 mired, 0.0 CC" in first
        assert second.startswith(
            "warning: line 3, column spectrum: Teal full: the values, 0.2 to 0.867, are headed"
        )
        assert last == f"{file}: 2 gels (1 measured), 2 in doubt, to be asked about at the import"

    @pytest.mark.parametrize("name", ["../amber.csv", "in/amber.csv", "/etc/passwd"])
    def test_only_files_beside_the_table_are_read(self, gel_file, tmp_path, capsys, name):
        (tmp_path / "in").mkdir()
        for place in (tmp_path.parent, tmp_path / "in"):
            (place / "amber.csv").write_text("secret")
        assert cli.main(["check-gels", gel_file(f"family,fraction,spectrum\nAmber,full,{name}\n")]) == 1
        said = capsys.readouterr().out
        assert said.startswith(f"line 2, column spectrum: spectrum '{name}' is not a plain file name")
        assert "secret" not in said

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"", "there is no text"),
            (b"PK\x03\x04", "spreadsheet or archive"),
            (b"<html></html>", "a web page"),
            (b"cct,duv\n", "no table of gels is in the text"),
            (b"family,family,fraction\nA,B,1/2\n", "is there twice"),
        ],
    )
    def test_a_file_that_is_no_table_is_refused(self, gel_file, capsys, data, says):
        assert cli.main(["check-gels", gel_file(data)]) == 1
        assert says in capsys.readouterr().out

    def test_a_file_that_is_not_there(self, tmp_path, capsys):
        assert cli.main(["check-gels", str(tmp_path / "no.csv")]) == 1
        said = capsys.readouterr().err
        assert f"cannot read {tmp_path / 'no.csv'}" in said

    def test_it_needs_a_file(self, capsys):
        with pytest.raises(SystemExit) as end:
            cli.main(["check-gels"])
        assert end.value.code == 2
        assert "FILE.csv" in capsys.readouterr().err
