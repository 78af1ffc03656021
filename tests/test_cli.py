"""The `advisor` command: what it says, to whom, and with which exit status."""

import re
import signal
import socket
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from advisor import cli
from advisor.resources import folder
from advisor.sample import sample_set
from advisor.store import Database, SetStore
from advisor.store.file.lock import FolderLock
from advisor.version import version
from advisor.web.app import create_app

ROOT = Path(__file__).parents[1]
HEAD = "family,fraction,mired,cc,stops,stock,note\n"


@pytest.fixture
def gel_file(tmp_path):
    def write(text):
        path = tmp_path / "gels.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return str(path)

    return write


def test_the_version_names_what_it_stands_on(capsys):
    assert cli.main(["--version"]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"advisor {version()} ")
    assert f"SQLite {sqlite3.sqlite_version}" in said


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
        assert said.startswith(f"line 2, column spectrum: spectrum '{name}' is no plain file name")
        assert "secret" not in said

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"", "there is no text"),
            (b"PK\x03\x04", "spreadsheet or archive"),
            (b"<html></html>", "a web page"),
            (b"cct,duv\n", "no table of gels is in the text"),
            (b"family,family,fraction\nA,B,1/2\n", "stands there twice"),
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


class TestServing:
    def test_a_port_that_is_taken_is_said_with_another_one(self, tmp_path):
        with socket.socket() as taken:
            taken.bind(("127.0.0.1", 0))
            taken.listen()
            port = taken.getsockname()[1]
            command = [sys.executable, "-m", "advisor", "--port", str(port), "--data", str(tmp_path)]
            ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60)
        assert ended.returncode == 1
        assert f"cannot listen on port {port}: " in ended.stderr
        assert f"--port {port + 1}" in ended.stderr
        assert "Traceback" not in ended.stderr

    @pytest.mark.parametrize("port", ["abc", "-1", "70000", "80.5", ""])
    def test_a_port_that_is_none_is_refused(self, capsys, port):
        with pytest.raises(SystemExit) as end:
            cli.main([f"--port={port}"])
        assert end.value.code == 2
        assert f"{port!r} is not a port: allowed are 1 to 65535" in capsys.readouterr().err

    @pytest.mark.parametrize("below", ["", "data"])
    def test_a_data_folder_that_is_a_file_is_told(self, tmp_path, capsys, below):
        (tmp_path / "file").write_text("mine")
        data = tmp_path / "file" / below
        assert cli.main(["--port", "0", "--data", str(data)]) == 1
        said = capsys.readouterr().err
        assert str(data) in said
        assert "--data" in said
        assert (tmp_path / "file").read_text() == "mine"

    def test_a_file_of_something_else_is_left_as_it_is(self, tmp_path, capsys):
        other = tmp_path / "advisor.sqlite"
        other.write_bytes(b"somebody's novel " * 100)
        assert cli.main(["--port", "0", "--data", str(tmp_path)]) == 1
        assert "is not a data file of the advisor, and was left as it is" in capsys.readouterr().err
        assert other.read_bytes().startswith(b"somebody's novel")

    def test_one_server_to_a_folder_which_is_backed_up_at_the_stop(self, tmp_path):
        command = [sys.executable, "-m", "advisor", "--port", "0", "--data", str(tmp_path)]
        with subprocess.Popen(
            command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        ) as first:
            try:
                address = re.search(r"http://\S+", first.stdout.readline())[0]
                second = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=60)
                made = tmp_path / "while it runs.sqlite"
                back_up = [*command[:3], "--data", str(tmp_path), "backup", str(made)]
                backed_up = subprocess.run(back_up, cwd=ROOT, capture_output=True, text=True, timeout=60)
                first.send_signal(signal.SIGTERM)
                assert first.wait(timeout=60) == 0
                assert "Traceback" not in first.stderr.read()
            finally:
                first.kill()
        assert second.returncode == 1
        assert f"process {first.pid}, since 20" in second.stderr
        assert f"Open {address} instead, or stop that one first" in second.stderr
        assert second.stdout == ""
        assert (backed_up.returncode, backed_up.stderr) == (0, "")
        assert made.stat().st_size > 0
        assert len(list((tmp_path / "backups").iterdir())) == 1
        assert list(tmp_path.glob("advisor.sqlite-*")) == []  # closed: the file is whole by itself


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


class TestInvite:
    def test_without_a_server_it_says_to_start_one(self, tmp_path, capsys):
        for data in (tmp_path, tmp_path / "missing"):
            assert cli.main(["--data", str(data), "invite"]) == 1
            said = capsys.readouterr()
            assert said.out == ""
            assert said.err == (
                f"advisor: No advisor runs over the data folder {data}. Start it with --lan, then run this "
                "again; or give the folder that it runs over with --data.\n"
            )
            assert not (data / "invites").exists()

    def test_beside_one_that_no_phone_reaches_it_says_so(self, tmp_path, capsys):
        with FolderLock(tmp_path) as lock:
            lock.tell("http://127.0.0.1:8080/")
            assert cli.main(["--data", str(tmp_path), "invite"]) == 1
        assert "is open to this machine alone. Start it with --lan" in capsys.readouterr().err

    def test_it_names_every_address_and_over_tls_warns_of_nothing(self, tmp_path, monkeypatch, capsys):
        monkeypatch.setattr("advisor.web.access.lan.own_addresses", lambda: ["10.0.0.7", "fd00::2"])
        with FolderLock(tmp_path) as lock:
            lock.tell("https://127.0.0.1:8443/", port=8443, secure=True, bind=None)
            assert cli.main(["--data", str(tmp_path), "invite"]) == 0
        said = capsys.readouterr().out
        assert re.search(
            r"^  https://10\.0\.0\.7:8443/join/([\w-]{22})\n  or https://\[fd00::2\]:8443/join/\1\n",
            said,
            re.M,
        )
        assert "plain HTTP" not in said

    def test_what_cannot_be_is_said(self, tmp_path, capsys):
        (tmp_path / "invites").write_text("a file")
        with FolderLock(tmp_path) as lock:
            lock.tell("http://127.0.0.1:8080/", port=8080)
            assert cli.main(["--data", str(tmp_path), "invite"]) == 1
        assert cli.main(["--data", str(tmp_path), "invite", "--withdraw"]) == 1
        no_link, unread = capsys.readouterr().err.splitlines()
        assert no_link.startswith("advisor: No link was made, since ")
        assert unread.startswith(f"advisor: {tmp_path / 'invites'} cannot be read: ")


class TestDataFolder:
    def test_the_help_says_where_it_is(self, monkeypatch, capsys):
        monkeypatch.setenv("ADVISOR_DATA", "/srv/100% light")
        with pytest.raises(SystemExit):
            cli.main(["--help"])
        said = "".join(capsys.readouterr().out.split())
        assert "wherealldataiskept(orsetADVISOR_DATA;nowitis/srv/100%light)" in said

    def test_without_a_home_it_has_to_be_said(self, monkeypatch, capsys):
        def homeless():
            raise RuntimeError("Could not determine home directory.")

        for name in ("ADVISOR_DATA", "XDG_DATA_HOME"):
            monkeypatch.delenv(name, raising=False)
        monkeypatch.setattr(cli.sys, "platform", "linux")
        monkeypatch.setattr(cli.Path, "home", homeless)
        assert cli.main([]) == 1
        assert capsys.readouterr().err == (
            "advisor: This user has no home folder. Say with --data where the data is.\n"
        )
        with pytest.raises(SystemExit) as end:
            cli.main(["--help"])
        assert end.value.code == 0

    def test_the_environment_may_name_it(self, monkeypatch, tmp_path, capsys):
        (tmp_path / "file").write_text("")
        monkeypatch.setenv("ADVISOR_DATA", str(tmp_path / "file"))
        assert cli.data_folder() == tmp_path / "file"
        assert cli.main(["--port", "0"]) == 1
        assert str(tmp_path / "file") in capsys.readouterr().err

    def test_the_command_line_goes_before_the_environment(self, monkeypatch, tmp_path, capsys):
        for name in ("said", "kept"):
            (tmp_path / name).write_text("")
        monkeypatch.setenv("ADVISOR_DATA", str(tmp_path / "kept"))
        assert cli.main(["--port", "0", "--data", str(tmp_path / "said")]) == 1
        said = capsys.readouterr().err
        assert str(tmp_path / "said") in said
        assert str(tmp_path / "kept") not in said

    @pytest.mark.parametrize(
        ("platform", "variables", "expected"),
        [
            ("linux", {"XDG_DATA_HOME": "/xdg"}, "/xdg/gel-advisor"),
            ("linux", {"HOME": "/home/me"}, "/home/me/.local/share/gel-advisor"),
            ("darwin", {"HOME": "/Users/me"}, "/Users/me/Library/Application Support/gel-advisor"),
            ("win32", {"LOCALAPPDATA": "/local"}, "/local/gel-advisor"),
        ],
    )
    def test_else_it_is_where_the_system_keeps_such_things(self, monkeypatch, platform, variables, expected):
        for name in ("ADVISOR_DATA", "XDG_DATA_HOME", "LOCALAPPDATA"):
            monkeypatch.delenv(name, raising=False)
        for name, value in variables.items():
            monkeypatch.setenv(name, value)
        monkeypatch.setattr(cli.sys, "platform", platform)
        assert cli.data_folder() == Path(expected)


def test_an_unknown_command_names_those_that_there_are(capsys):
    with pytest.raises(SystemExit) as end:
        cli.main(["repair"])
    assert end.value.code == 2
    assert re.search(r"invalid choice: 'repair' .*check-gels", capsys.readouterr().err)
