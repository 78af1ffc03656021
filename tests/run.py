"""Install what the tests need into a local environment, and run all of them: style, types, tests.

    python3 tests/run.py [arguments for pytest]

Needs Python 3.11 or newer. The browser tests use a Chromium that is already there; else, on Debian as
root, they install Debian's; else they let Playwright fetch its own.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
HOME = ROOT / ".venv-tests"
BIN = HOME / ("Scripts" if os.name == "nt" else "bin")
EVERYTHING = ("--numprocesses=auto", "--dist=worksteal")
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
"""The first is the same browser without windows, which opens a page for each test in half the time."""


def main(arguments: list[str]) -> int:
    """Return the exit status: 0 if everything passed."""
    if sys.version_info < (3, 11):  # noqa: UP036 - this script may be started by an older Python
        print(f"Python 3.11 or newer is needed; this is {sys.version.split()[0]}.")
        return 2
    if not BIN.is_dir():
        run(sys.executable, "-m", "venv", str(HOME))
    python = str(BIN / "python")
    run(python, "-m", "pip", "install", "--quiet", "--editable", ".[test]")
    # The tests share the cores out themselves: a worker that takes two for its sums waits for the other.
    environment = {"OPENBLAS_NUM_THREADS": "1", **os.environ}
    if browser := find_browser(python):
        environment["ADVISOR_CHROMIUM"] = browser
    steps = (
        ("ruff", "check", "."),
        ("ruff", "format", "--check", "."),
        ("mypy",),
        ("pytest", *(arguments or EVERYTHING)),
    )
    failed = [
        step[0]
        for step in steps
        if subprocess.run([python, "-m", *step], cwd=ROOT, env=environment).returncode
    ]
    print("Failed: " + ", ".join(failed) if failed else "Everything passed.")
    return 1 if failed else 0


def find_browser(python: str) -> str | None:
    """Return the path of a Chromium, or None where Playwright has its own."""
    if named := os.environ.get("ADVISOR_CHROMIUM"):
        return named
    if found := next((path for name in BROWSERS if (path := shutil.which(name))), None):
        return found
    if shutil.which("apt-get") and getattr(os, "geteuid", lambda: 1)() == 0:
        run("apt-get", "update", "--quiet")
        install = ("apt-get", "install", "--yes", "--quiet")
        if subprocess.run([*install, BROWSERS[0]]).returncode:  # not every Debian has it
            run(*install, "chromium")
        return shutil.which(BROWSERS[0]) or shutil.which("chromium")
    if subprocess.run([python, "-m", "playwright", "install", "chromium"], cwd=ROOT).returncode == 0:
        return None
    print("No browser: install Chromium (on Debian: sudo apt-get install chromium), then run this again.")
    raise SystemExit(2)


def run(*command: str) -> None:
    """Run a step that the rest depends on."""
    if subprocess.run(command, cwd=ROOT).returncode:
        print(f"This failed: {' '.join(command)}")
        if "venv" in command:
            print("On Debian the module venv is a package: sudo apt-get install python3-venv")
        raise SystemExit(2)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
