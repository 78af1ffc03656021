"""Do the tests catch it: make small changes to the product one by one, and see which no test notices.

    python tests/mutants/run.py [--module WORD …] [--list]

The changes are listed in the TOML files beside this one, a file for each module: its path, the tests to run,
and the mutants, each the old text (found there exactly once) and the new. Each is made in a copy of the tree
outside of it, and only its own tests run there, in one process. This is no part of CI: it takes minutes.

- killed: a test failed, or worked for so much longer than without the change that it was stopped
- alive: all of them passed, and nobody notices the change
- the same: all of them passed, and `equivalent` says why nobody can notice it
- stale: the old text is not there, or more than once, so that nothing was tried
- broken: no test ran, since the change is no Python that can be imported, say; or they fail without it

The score is killed / (killed + alive). The status is 1 where any is alive, stale or broken, or where one that
is said to be the same is killed.
"""

import argparse
import compileall
import math
import os
import resource
import shutil
import signal
import sys
import tempfile
import time
import tomllib
import traceback
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from importlib import import_module
from pathlib import Path
from py_compile import PycInvalidationMode

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
_FOLDERS = ("advisor", "templates", "static", "gels", "tests", ".docs")
_COPIED = (*_FOLDERS, "pyproject.toml", "README.md", "DEVELOPERS.md")
_SLOWER, _AT_LEAST = 4.0, 20.0
"""A run that takes so many times as long as without the change, and at least so long [CPU s], is stopped."""
_MEMORY = 3_000_000_000
"""A run that takes more fails. [byte]"""
_PASSED, _FAILED, _NOT_RUN, _STOPPED = 0, 1, 99, -1


class Fate(StrEnum):
    """What became of a mutant."""

    KILLED = "killed"
    ALIVE = "alive"
    SAME = "the same"
    STALE = "stale"
    BROKEN = "broken"
    NOT_THE_SAME = "said to be the same, and killed"


@dataclass(frozen=True)
class Mutant:
    """A change of `old` to `new` in the file `module`, and the `tests` that are to notice it.

    `equivalent` says why nobody can notice it; empty where somebody can.
    """

    module: str
    tests: tuple[str, ...]
    old: str
    new: str
    equivalent: str = ""

    @property
    def line(self) -> str:
        """The change on one line."""
        old, new = (" ".join(text.split()) for text in (self.old, self.new))
        return f"{old}  →  {new or '(nothing)'}"


def listed(words: list[str]) -> Iterator[list[Mutant]]:
    """Yield the mutants of each file whose module has one of the words in its path; of all without words."""
    for path in sorted(HERE.glob("*.toml")):
        found = tomllib.loads(path.read_text(encoding="utf-8"))
        module, tests = found["module"], found["tests"]
        if words and not any(word in module for word in words):
            continue
        yield [
            Mutant(module, tuple(m.get("tests", tests)), m["old"], m["new"], m.get("equivalent", ""))
            for m in found["mutant"]
        ]


def copy_tree(to: Path) -> None:
    """Copy what the tests need, and compile it so that a changed file is told from what it was by content."""
    for name in _COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, to / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, to / name)
    compileall.compile_dir(str(to / "advisor"), quiet=2, invalidation_mode=PycInvalidationMode.CHECKED_HASH)


def load_libraries() -> None:
    """Import what is slow to import and is not under test, once for all runs."""
    # Without pytest's plugins, whose imports take longer than most tests; one is named below.
    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    with warnings.catch_warnings(action="ignore"):
        for name in ("numpy", "colour", "scipy.optimize", "pydantic", "flask", "waitress", "pytest"):
            import_module(name)
    # The outcome is to be the same each time: the same examples are drawn, and none is remembered.
    settings = import_module("hypothesis").settings
    settings.register_profile("mutants", derandomize=True, database=None, deadline=None)
    settings.load_profile("mutants")


def run_tests(tree: Path, tests: tuple[str, ...], most: float) -> tuple[int, float]:
    """Run tests in a tree, in another process: pytest's status, or −1 where stopped, and its time [CPU s].

    It is stopped where it works for longer than `most`, or takes ten times as long without getting there.
    """
    began = time.monotonic()
    child = os.fork()
    if child == 0:
        try:
            os._exit(_in_child(tree, tests, math.ceil(most)))
        except BaseException:
            traceback.print_exc()
            os._exit(_NOT_RUN)
    while True:
        done, status, used = os.wait4(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime
        if time.monotonic() - began > 10 * most:
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return _STOPPED, most
        time.sleep(0.02)


def _in_child(tree: Path, tests: tuple[str, ...], most: int) -> int:
    os.setsid()
    resource.setrlimit(resource.RLIMIT_CPU, (most, most))
    resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    os.chdir(tree)
    sys.path.insert(0, str(tree))
    with (tree / "output.txt").open("w", encoding="utf-8") as output:
        os.dup2(output.fileno(), 1)
        os.dup2(output.fileno(), 2)
        import advisor

        assert Path(advisor.__file__).is_relative_to(tree), "the copy is to be tested, not the tree"
        # The one plugin that the settings of the tests name.
        options = ["-q", "-x", "-p", "no:randomly", "-p", "no:cacheprovider", "-p", "pytest_timeout"]
        status = int(import_module("pytest").main([*options, *tests]))
        sys.stdout.flush()
    return status


def try_out(mutant: Mutant, tree: Path, most: float) -> Fate:
    """Make the change in a tree, run its tests, and take it back."""
    file = tree / mutant.module
    text = file.read_text(encoding="utf-8") if file.is_file() else ""
    if text.count(mutant.old) != 1:
        return Fate.STALE
    file.write_text(text.replace(mutant.old, mutant.new), encoding="utf-8")
    try:
        status, _ = run_tests(tree, mutant.tests, most)
    finally:
        file.write_text(text, encoding="utf-8")
    if status == _FAILED or status < 0:
        return Fate.NOT_THE_SAME if mutant.equivalent else Fate.KILLED
    if status == _PASSED:
        return Fate.SAME if mutant.equivalent else Fate.ALIVE
    return Fate.BROKEN


def main() -> int:
    """Return the exit status."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--module", nargs="+", default=[], metavar="WORD", help="words in a module's path")
    parser.add_argument("--list", action="store_true", help="say what would be tried, and try nothing")
    asked = parser.parse_args()
    files = list(listed(asked.module))
    if asked.list:
        for mutants in files:
            print(mutants[0].module, *(f"  {mutant.line}" for mutant in mutants), sep="\n")
        return 0
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    load_libraries()
    fates: Counter[Fate] = Counter()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        tree = Path(folder).resolve()
        copy_tree(tree)
        known: dict[tuple[str, ...], float] = {}
        for mutants in files:
            print(mutants[0].module, flush=True)
            for mutant in mutants:
                if mutant.tests not in known:
                    status, known[mutant.tests] = run_tests(tree, mutant.tests, 600.0)
                    if status != _PASSED:
                        print((tree / "output.txt").read_text(encoding="utf-8"))
                        print(f"These fail without any change: {' '.join(mutant.tests)}")
                        known[mutant.tests] = math.nan
                if math.isnan(known[mutant.tests]):
                    fates[Fate.BROKEN] += 1
                    continue
                fate = try_out(mutant, tree, max(_AT_LEAST, _SLOWER * known[mutant.tests]))
                fates[fate] += 1
                print(f"  {fate:9} {mutant.line}", flush=True)
    killed, alive = fates[Fate.KILLED], fates[Fate.ALIVE]
    print()
    for fate in Fate:
        print(f"{fates[fate]:5} {fate}")
    if killed + alive:
        print(f"Score: {killed} of {killed + alive}, {100 * killed / (killed + alive):.1f} %")
    return 0 if fates[Fate.KILLED] + fates[Fate.SAME] == fates.total() else 1


if __name__ == "__main__":
    sys.exit(main())
