"""The command that runs the tests: what it needs, what it says first, and what its last line says."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests import run
from tests.browser.start import why_not

BARE = ["chromium-headless-shell", "libatomic1"]
"""What a bare Debian lacks."""
BOUND = r"[\w-]+>=[\d.]+(,<[\d.]+)?"


class Commands:
    """Stands in for subprocess.run: notes what is to be run, and lets all of it succeed."""

    def __init__(self, monkeypatch, failing=()):
        self.seen, self.failing = [], failing
        monkeypatch.setattr(run.subprocess, "run", self)

    @property
    def tests(self):
        """The command that runs the tests; what checks style and types is run beside it."""
        (command,) = (each for each in self.seen if each.startswith("python -m pytest "))
        return command

    def __call__(self, command, env=None, **_):
        words = " ".join(map(str, command))
        self.seen.append(words)
        if env and "pytest" in command:
            self.variables = env
            Path(env["ADVISOR_SKIPPED"]).write_text("2 tests: why\n", encoding="utf-8")
        failed = any(word in words for word in self.failing)
        said = f"[{command[2]} says]\n" if env else str(sys.version_info[:2])
        return subprocess.CompletedProcess(command, int(failed), said, "its own words")


@pytest.fixture(autouse=True)
def note(tmp_path, monkeypatch):
    """Where it is written down what was installed: in no environment of anybody."""
    monkeypatch.setattr(run, "INSTALLED", tmp_path / "installed.txt")
    return tmp_path / "installed.txt"


@pytest.fixture
def bare(monkeypatch):
    """A bare Debian and who is there; `here` are the programs and libraries that it has."""

    def machine(user, *here):
        monkeypatch.setattr(run.os, "geteuid", lambda: user, raising=False)
        monkeypatch.setattr(run.shutil, "which", lambda name: f"/usr/bin/{name}" if name in here else None)
        monkeypatch.delenv("ADVISOR_CHROMIUM", raising=False)

        def load(name):
            if name not in here:
                raise OSError(name)

        monkeypatch.setattr(run.ctypes, "CDLL", load)

    return machine


def test_an_ordinary_user_is_told_first_what_the_owner_has_to_install(bare, monkeypatch, capsys):
    bare(1000, "apt-get")
    commands = Commands(monkeypatch)
    printed = []
    monkeypatch.setattr(run, "environment", lambda home: printed.append(capsys.readouterr().out) or "python")
    assert run.main([]) == 0
    assert "\n    sudo apt-get install chromium-headless-shell libatomic1\n" in printed[0]
    assert commands.seen[0].startswith("apt-cache show")  # which only looks
    assert not [each for each in commands.seen if each.startswith("apt-get")]
    assert commands.tests.startswith("python -m pytest --ignore=tests/browser ")
    assert capsys.readouterr().out.endswith(
        "[mypy says]\nEverything that ran passed. Left out: the browser tests, which need "
        "chromium-headless-shell and libatomic1; 2 tests: why.\n"
    )


def test_root_installs_what_is_missing(bare, monkeypatch, capsys):
    bare(0, "apt-get")
    monkeypatch.setattr(run, "environment", lambda home: "python")
    monkeypatch.setattr(run, "find_browser", lambda python: "/usr/bin/chromium")
    commands = Commands(monkeypatch)
    assert run.main(["tests/store"]) == 0
    assert commands.seen[1:3] == [
        "apt-get update --quiet",
        "apt-get install --yes --quiet chromium-headless-shell libatomic1",
    ]
    assert commands.tests == "python -m pytest tests/store"


@pytest.mark.parametrize(
    ("failing", "last"),
    [
        (["ruff check"], "Failed: ruff. Left out: 2 tests: why."),
        (["mypy", "pytest"], "Failed: mypy, pytest. Left out: 2 tests: why."),
        ([], "Everything that ran passed. Left out: 2 tests: why."),
    ],
)
def test_what_runs_beside_the_tests_is_shown_below_them_and_fails_the_command(
    monkeypatch, capsys, failing, last
):
    monkeypatch.setenv("ADVISOR_CHROMIUM", "browser")
    monkeypatch.setattr(run, "missing", list)
    monkeypatch.setattr(run, "environment", lambda home: "python")
    commands = Commands(monkeypatch, failing)
    assert run.main([]) == bool(failing)
    checks = ("python -m ruff check .", "python -m ruff format --check .", "python -m mypy")
    assert [each for each in commands.seen if each in checks] == list(checks)
    assert capsys.readouterr().out == f"[ruff says]\n[ruff says]\n[mypy says]\n{last}\n"


def test_what_is_compiled_is_kept_also_where_the_person_keeps_nothing(monkeypatch):
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    monkeypatch.setenv("ADVISOR_CHROMIUM", "browser")
    monkeypatch.setattr(run, "missing", list)
    monkeypatch.setattr(run, "environment", lambda home: "python")
    commands = Commands(monkeypatch)
    assert run.main([]) == 0
    assert "PYTHONDONTWRITEBYTECODE" not in commands.variables
    assert commands.variables["ADVISOR_CHROMIUM"] == "browser"


@pytest.mark.parametrize(
    ("here", "failing", "absent"),
    [
        ((), (), []),
        (("apt-get",), (), BARE),
        (("apt-get",), ("apt-cache",), ["chromium", "libatomic1"]),
        (("apt-get", "chromium"), (), ["libatomic1"]),
        (("apt-get", "libatomic.so.1"), (), ["chromium-headless-shell"]),
        (("apt-get", "google-chrome", "libatomic.so.1"), (), []),
    ],
)
def test_what_is_missing_is_named_exactly(bare, monkeypatch, here, failing, absent):
    bare(1000, *here)
    Commands(monkeypatch, failing)
    assert run.missing() == absent


def test_without_the_package_for_environments_nothing_is_begun(bare, monkeypatch, capsys):
    bare(1000, "apt-get", "chromium", "libatomic.so.1")
    monkeypatch.setattr(run.importlib.util, "find_spec", lambda name: None)
    commands = Commands(monkeypatch)
    assert run.main([]) == 2
    said = capsys.readouterr().out
    assert "sudo apt-get install python3-venv\n" in said
    assert "Run this again when it is there." in said
    assert commands.seen == []


def test_what_is_installed_as_now_is_not_installed_again(tmp_path, monkeypatch):
    monkeypatch.setattr(run, "CONSTRAINTS", tmp_path / "constraints.txt")
    run.CONSTRAINTS.write_text("pytest==9.0\n", encoding="utf-8")
    commands = Commands(monkeypatch)
    run.install("python", lowest=False)
    run.install("python", lowest=False)
    assert [command.split()[:4] for command in commands.seen] == [["python", "-m", "pip", "install"]]
    run.CONSTRAINTS.write_text("pytest==9.1\n", encoding="utf-8")
    run.install("python", lowest=False)
    assert len(commands.seen) == 2


def test_what_could_not_be_installed_is_installed_again(note, tmp_path, monkeypatch):
    monkeypatch.setattr(run, "CONSTRAINTS", tmp_path / "constraints.txt")
    run.CONSTRAINTS.write_text("pytest==9.0\n", encoding="utf-8")
    Commands(monkeypatch)
    run.install("python", lowest=False)
    run.CONSTRAINTS.write_text("pytest==9.1\n", encoding="utf-8")
    commands = Commands(monkeypatch, failing=["pip install"])
    with pytest.raises(SystemExit):
        run.install("python", lowest=False)
    assert not note.exists()
    run.CONSTRAINTS.write_text("pytest==9.0\n", encoding="utf-8")
    with pytest.raises(SystemExit):
        run.install("python", lowest=False)
    assert len(commands.seen) == 2


def test_a_half_made_environment_is_made_anew(tmp_path):
    home = tmp_path / "half"
    # What Debian leaves behind where python3-venv is missing.
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(home)], check=True)
    (home / "left").touch()
    python = run.environment(home)
    assert not (home / "left").exists()
    assert run.works(python)
    (home / "left").touch()
    assert run.environment(home) == python
    assert (home / "left").exists()


def test_an_environment_whose_python_is_gone_does_not_work(tmp_path):
    assert not run.works(str(tmp_path / "bin" / "python"))


@pytest.mark.parametrize(
    ("version", "lowest", "says"),
    [
        ((3, 10), False, "Python 3.11 to 3.14 is needed; this is 3.10."),
        ((3, 15), False, "Python 3.11 to 3.14 is needed; this is 3.15."),
        (
            (3, 14),
            True,
            "The lowest versions go with the lowest Python, 3.11; this is 3.14.",
        ),
        ((3, 11), True, None),
        ((3, 14), False, None),
    ],
)
def test_a_python_that_will_not_do_is_told(version, lowest, says):
    assert run.refusal(version, lowest) == says


def test_the_lowest_versions_are_those_of_the_project():
    project = run.tomllib.loads((run.ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    dependencies = project["dependencies"]
    assert [each for each in dependencies if not re.fullmatch(BOUND, each)] == []
    lowest = run.lowest_of(dependencies)
    assert all(re.fullmatch(r"[\w-]+==[\d.]+", each) for each in lowest)
    assert "numpy==2.0" in lowest
    assert project["requires-python"] == ">=3.11,<3.15"
    # A major version may change what the advisor leans on.
    bounded = {each.partition(">")[0] for each in dependencies if "<" in each}
    assert {"flask", "waitress", "pydantic", "numpy"} <= bounded


def test_every_tool_of_the_tests_is_pinned():
    project = run.tomllib.loads((run.ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = run.CONSTRAINTS.read_text(encoding="utf-8").splitlines()
    pins = [line for line in lines if line and not line.startswith("#")]
    assert [pin for pin in pins if not re.fullmatch(r"[\w-]+==[\w.]+", pin)] == []
    names = {pin.partition("=")[0] for pin in pins}
    assert {tool.partition(">")[0] for tool in project["optional-dependencies"]["test"]} <= names
    assert not {each.partition(">")[0] for each in project["dependencies"]} & names


def test_the_last_line_says_what_failed_and_what_was_left_out():
    assert run.last_line([], []) == "Everything passed."
    assert run.last_line(["mypy", "pytest"], ["a"]) == "Failed: mypy, pytest. Left out: a."
    assert run.last_line([], ["a", "b"]) == "Everything that ran passed. Left out: a; b."


def test_what_is_skipped_is_told_with_its_reason(tmp_path):
    (tmp_path / "test_it.py").write_text(
        "import pytest\n"
        "@pytest.mark.parametrize('k', [1, 2])\n"
        "def test_a(k): pytest.skip('no  data:\\nno link')\n"
        "@pytest.mark.skip('too late')\n"
        "def test_b(): pass\n"
        "def test_c(): pass\n"
    )
    file = tmp_path / "skipped"
    command = ["-m", "pytest", "-q", "-p", "tests.conftest", "--rootdir", str(tmp_path), str(tmp_path)]
    environment = {**os.environ, "ADVISOR_SKIPPED": str(file), "PYTHONPATH": str(run.ROOT)}
    ran = subprocess.run(
        [sys.executable, *command, "-c", os.devnull], cwd=run.ROOT, env=environment, capture_output=True
    )
    assert ran.returncode == 0, ran.stdout
    assert sorted(file.read_text().splitlines()) == ["2 tests: no data: no link", "a test: too late"]


def test_a_browser_that_does_not_start_is_left_out_with_words(bare, monkeypatch, capsys):
    bare(1000, "apt-get", "chromium", "libatomic.so.1")
    monkeypatch.setattr(run, "environment", lambda home: "python")
    commands = Commands(monkeypatch, failing=["start.py"])
    assert run.main([]) == 0
    said = capsys.readouterr().out
    assert "No browser starts here (/usr/bin/chromium):" in said and "its own words" in said
    assert said.splitlines()[-1].startswith(
        "Everything that ran passed. Left out: the browser tests, since no browser starts here; "
    )
    assert commands.tests.startswith("python -m pytest --ignore=tests/browser ")


def test_the_driver_is_heard_where_it_does_not_start(tmp_path, monkeypatch):
    driver = tmp_path / "driver"
    driver.write_text("#!/bin/sh\necho 'error while loading libatomic.so.1' >&2; exit 127\n")
    driver.chmod(0o755)
    monkeypatch.setattr("tests.browser.start.compute_driver_executable", lambda: (str(driver), "cli.js"))
    assert why_not(None) == "Playwright's driver does not start:\nerror while loading libatomic.so.1"
    driver.unlink()
    assert why_not(None).startswith("Playwright's driver does not start: [Errno 2]")
