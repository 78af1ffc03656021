"""Install what the tests need into a local environment, and run all of them: style, types, tests.

    python3 tests/run.py [--lowest] [arguments for pytest]

Needs Python 3.11 to 3.14; the tools come in the versions that constraints.txt names. The browser tests use a
Chromium that is already there; else, on Debian as root, they install Debian's; elsewhere they let Playwright
fetch its own. Where that cannot be, it is said first what is missing, all other tests are run, and the last
line says what was left out. With --lowest the tests alone run, on the lowest versions of the advisor's own
packages that pyproject.toml allows, and with the lowest Python.
"""

import ctypes
import importlib.util
import os
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).parent.parent
CONSTRAINTS = ROOT / "tests" / "constraints.txt"
LOWEST_PYTHON = (3, 11)
CORES = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
EVERYTHING = (f"--numprocesses={CORES + 1}", "--dist=worksteal")
"""One more than there are cores: a test in a browser waits for most of its time, as people's phones do."""
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
"""The first is the same browser without windows, which opens a page for each test in half the time."""
BROWSER_TESTS = "tests/browser"
INSTALLED = "installed.txt"
"""In an environment: what it was installed for. Where that is as now, pip is not asked for five seconds."""


def main(arguments: list[str]) -> int:
    """Return the exit status: 0 if everything that ran passed."""
    lowest = "--lowest" in arguments
    arguments = [each for each in arguments if each != "--lowest"]
    if (refused := refusal(sys.version_info[:2], lowest)) is not None:
        print(refused)
        return 2
    absent = provide(missing())
    if "python3-venv" in absent:
        return 2
    python = environment(ROOT / (".venv-lowest" if lowest else ".venv-tests"))
    install(python, lowest)
    browser = None if absent else find_browser(python)
    left_out = [f"the browser tests, which need {' and '.join(absent)}"] if absent else []
    if browser is None and not absent:
        left_out = ["the browser tests, since no browser starts here"]
    with tempfile.TemporaryDirectory() as folder:
        skipped = Path(folder) / "skipped"
        # The tests share the cores out themselves: a worker that takes two for its sums waits for the other.
        variables = {"OPENBLAS_NUM_THREADS": "1", **os.environ, "ADVISOR_SKIPPED": str(skipped)}
        # What is compiled is kept: else each worker compiles each test, and each command all of the advisor.
        variables.pop("PYTHONDONTWRITEBYTECODE", None)
        if browser:
            variables["ADVISOR_CHROMIUM"] = browser
        checks = [] if lowest else [("ruff", "check", "."), ("ruff", "format", "--check", "."), ("mypy",)]
        without = (f"--ignore={BROWSER_TESTS}",) if left_out else ()
        tests = ("pytest", *without, *(arguments or EVERYTHING))
        # Style and types beside the tests: one core would idle until they are done.
        with ThreadPoolExecutor(1) as pool:
            beside = [pool.submit(check, [python, "-m", *step], variables) for step in checks]
            tested = subprocess.run([python, "-m", *tests], cwd=ROOT, env=variables)
            results = [each.result() for each in beside]
        print("".join(said for _, said in results), end="", flush=True)
        failed = [step[0] for step, (passed, _) in zip(checks, results, strict=True) if not passed]
        failed += ["pytest"] if tested.returncode else []
        left_out += skipped.read_text(encoding="utf-8").splitlines() if skipped.is_file() else []
    print(last_line(failed, left_out))
    return 1 if failed else 0


def check(command: list[str], variables: dict[str, str]) -> tuple[bool, str]:
    """Run a check; return whether it passed and what it said, to be shown below what the tests say."""
    done = subprocess.run(
        command, cwd=ROOT, env=variables, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    return not done.returncode, done.stdout


def last_line(failed: list[str], left_out: list[str]) -> str:
    """Say what failed, and what was not run at all."""
    said = f"Failed: {', '.join(failed)}." if failed else "Everything passed."
    if left_out:
        said = said.replace("Everything", "Everything that ran")
        said += f" Left out: {'; '.join(left_out)}."
    return said


def refusal(version: tuple[int, ...], lowest: bool) -> str | None:
    """Say why nothing can be run with a version of Python; None where it can."""
    this = ".".join(map(str, version))
    if not LOWEST_PYTHON <= version < (3, 15):
        return f"Python 3.11 to 3.14 is needed; this is {this}."
    if lowest and version != LOWEST_PYTHON:
        return f"The lowest versions go with the lowest Python, 3.11; this is {this}."
    return None


def missing() -> list[str]:
    """Return the packages of Debian that are needed and not there; nothing on any other system."""
    if not shutil.which("apt-get"):
        return []
    packages = []
    if importlib.util.find_spec("ensurepip") is None:
        packages.append("python3-venv")
    if not os.environ.get("ADVISOR_CHROMIUM") and not any(map(shutil.which, BROWSERS)):
        asked = subprocess.run(["apt-cache", "show", BROWSERS[0]], capture_output=True)
        packages.append(BROWSERS[0] if asked.returncode == 0 else "chromium")
    try:
        ctypes.CDLL("libatomic.so.1")
    except OSError:
        packages.append("libatomic1")  # Playwright's driver is linked against it
    return packages


def provide(packages: list[str]) -> list[str]:
    """Install packages where this user may; where not, say what is missing and return it."""
    if not packages:
        return []
    if os.geteuid() == 0:
        run("apt-get", "update", "--quiet")
        run("apt-get", "install", "--yes", "--quiet", *packages)
        return []
    print("The tests need what is not installed here. The owner of this machine installs it by")
    print(f"    sudo apt-get install {' '.join(packages)}")
    if "python3-venv" in packages:
        print("Nothing can be run without python3-venv. Run this again when it is there.", flush=True)
    else:
        print("All tests but those in a browser need nothing of it, and run now.", flush=True)
    return packages


def environment(home: Path) -> str:
    """Return the Python of the environment `home`, made where it is missing, half made or another one's."""
    python = str(home / ("Scripts" if os.name == "nt" else "bin") / "python")
    if not works(python):
        run(sys.executable, "-m", "venv", "--clear", str(home))
    return python


def works(python: str) -> bool:
    """Whether an environment's Python is of the same version as this one, and has a pip."""
    check = "import sys, pip; print(sys.version_info[:2])"
    try:
        said = subprocess.run([python, "-c", check], capture_output=True, text=True)
    except OSError:
        return False
    return said.returncode == 0 and said.stdout.strip() == str(sys.version_info[:2])


def install(python: str, lowest: bool) -> None:
    """Install the advisor, to be changed in place, and the tools for its tests, unless they are as now."""
    constraints = [CONSTRAINTS]
    if lowest:
        project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
        constraints.append(Path(python).parents[1] / "lowest.txt")
        constraints[-1].write_text("\n".join(lowest_of(project["dependencies"])), encoding="utf-8")
    note = Path(python).parent.parent / INSTALLED
    texts = [file.read_text(encoding="utf-8") for file in (ROOT / "pyproject.toml", *constraints)]
    now = "\n".join([str(ROOT), sys.version, *texts])
    if note.is_file() and note.read_text(encoding="utf-8") == now:
        return
    note.unlink(missing_ok=True)  # what is interrupted is done again
    given = [word for file in constraints for word in ("--constraint", str(file))]
    run(python, "-m", "pip", "install", "--quiet", *given, "--editable", ".[test]")
    note.write_text(now, encoding="utf-8")


def lowest_of(dependencies: list[str]) -> list[str]:
    """Return the lowest version that each requirement allows, as a constraint."""
    return [re.sub(r">=([^,;\s]+).*", r"==\1", each) for each in dependencies]


def find_browser(python: str) -> str | None:
    """Return the path of a browser that starts, "" for Playwright's own; None where none does, and say so."""
    named = os.environ.get("ADVISOR_CHROMIUM")
    found = named or next((path for name in BROWSERS if (path := shutil.which(name))), "")
    if not found:
        subprocess.run([python, "-m", "playwright", "install", "chromium"], cwd=ROOT)
    said = subprocess.run([python, "tests/browser/start.py", found], cwd=ROOT, capture_output=True, text=True)
    if said.returncode == 0:
        return found
    print(f"No browser starts here{f' ({found})' if found else ''}:\n{said.stdout}{said.stderr}", flush=True)
    print("Name one that does with ADVISOR_CHROMIUM, and run this again.", flush=True)
    return None


def run(*command: str) -> None:
    """Run a step that the rest depends on."""
    if subprocess.run(command, cwd=ROOT).returncode:
        print(f"This failed: {' '.join(command)}")
        raise SystemExit(2)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
