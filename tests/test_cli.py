"""The `advisor` command: what it says, to whom, and with which exit status."""

import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from advisor import cli
from advisor.version import version

ROOT = Path(__file__).parents[1]


def test_the_version_names_what_it_stands_on(capsys):
    assert cli.main(["--version"]) == 0
    said = capsys.readouterr().out
    assert said.startswith(f"advisor {version()} ")
    assert f"SQLite {sqlite3.sqlite_version}" in said


@pytest.mark.skipif(sys.platform == "win32", reason="a pipe of Windows ends otherwise")
def test_a_reader_that_ends_first_costs_no_traceback():
    read, write = os.pipe()
    os.close(read)
    command = [sys.executable, "-m", "advisor", "advise", "5600", "+0.004", "--json"]
    with os.fdopen(write, "w") as gone:
        ended = subprocess.run(command, cwd=ROOT, stdout=gone, stderr=subprocess.PIPE, text=True, timeout=60)
    assert (ended.returncode, ended.stderr) == (1, "")


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
