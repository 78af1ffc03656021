"""`advisor backup` and `advisor restore`: what they do, what they say, and what they leave alone."""

import re
from pathlib import Path

import pytest

from advisor import cli
from advisor.sample import sample_set
from advisor.store import Database, SetStore
from advisor.web.app import create_app


class TestBackup:
    @pytest.fixture
    def data(self, tmp_path):
        """Return a data folder as an application leaves it, with the sample set."""
        folder = tmp_path / "data"
        app = create_app(folder)
        app.extensions["advisor"].sets.create_set(sample_set(), sample=True)
        app.extensions["database"].close()
        return folder

    def test_what_was_backed_up_can_be_put_back(self, data, tmp_path, capsys):
        file = tmp_path / "usb.sqlite"
        assert cli.main(["--data", str(data), "backup", str(file)]) == 0
        assert f"All data of {data} is in {file}" in capsys.readouterr().out
        assert cli.main(["--data", str(tmp_path / "new"), "restore", str(file)]) == 0
        said = capsys.readouterr().out
        assert f"The data in {tmp_path / 'new'} is that of {file}. Every phone has to join again." in said
        assert "kept in" not in said
        with Database(tmp_path / "new" / "advisor.sqlite") as db:
            assert [s.sample for s in SetStore(db).list_sets()] == [True]
        assert cli.main(["--data", str(data), "restore", str(file)]) == 0
        kept = re.search(r"What was there is kept in (.*)\n", capsys.readouterr().out)[1]
        assert Path(kept).parent == data
        assert Path(kept).is_file()

    def test_the_environment_may_name_the_folder(self, data, tmp_path, monkeypatch, capsys):
        monkeypatch.setenv("ADVISOR_DATA", str(data))
        assert cli.main(["backup", str(tmp_path / "usb.sqlite")]) == 0
        assert cli.main(["restore", str(tmp_path / "usb.sqlite")]) == 0
        assert str(data) in capsys.readouterr().out

    @pytest.mark.parametrize("command", ["backup", "restore"])
    def test_what_cannot_be_is_said_with_what_to_do(self, data, tmp_path, capsys, command):
        (tmp_path / "notes").write_text("mine")
        assert cli.main(["--data", str(data), command, str(tmp_path / "notes")]) == 1
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.startswith(f"advisor: {tmp_path / 'notes'} is ")
        assert "Give a" in said.err
        assert (tmp_path / "notes").read_text() == "mine"

    def test_the_folder_may_stand_on_either_side_of_the_command(self, data, tmp_path, capsys):
        file = tmp_path / "usb.sqlite"
        assert cli.main(["backup", "--data", str(data), str(file)]) == 0
        assert cli.main(["restore", str(file), "--data", str(tmp_path / "new")]) == 0
        assert str(tmp_path / "new") in capsys.readouterr().out

    @pytest.mark.parametrize(
        ("command", "says"),
        [
            ("backup", "--data DIR"),
            ("restore", "or one of the hourly copies in backups/"),
            ("check-gels", "a row a gel, with family, fraction, mired, cc, stops"),
        ],
    )
    def test_the_help_of_a_command_says_what_it_takes(self, capsys, command, says):
        with pytest.raises(SystemExit) as end:
            cli.main([command, "--help"])
        assert end.value.code == 0
        assert says in " ".join(capsys.readouterr().out.split())

    @pytest.mark.parametrize("command", ["backup", "restore"])
    def test_they_need_a_file(self, capsys, command):
        with pytest.raises(SystemExit) as end:
            cli.main([command])
        assert end.value.code == 2
        assert "FILE" in capsys.readouterr().err

    def test_the_help_says_what_they_do(self, capsys):
        with pytest.raises(SystemExit) as end:
            cli.main(["--help"])
        assert end.value.code == 0
        said = " ".join(capsys.readouterr().out.split())
        assert "copy all data to a new file, also while the server runs" in said
        assert "put a backup in the place of the data, which is kept beside it; stop the server first" in said
