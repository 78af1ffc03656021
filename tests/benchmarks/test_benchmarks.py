"""Every benchmark still runs: one short round of each, of whose figures nothing is asked."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
LAST = {
    "bench_advice": "largest difference in CCT",
    "bench_crowd": "13 sources; errors: 0",
    "bench_dial": "asked again",
    "bench_ensemble": "most memory held",
    "bench_fuzz": "API: ",
    "bench_heads": "one of them",
    "bench_kill": "0 lost, doubled or damaged",
    "bench_large": "against the first line: ",
    "bench_live": "A poll beside",
    "bench_neighbour": "of the worst sent; errors of the others: 0",
    "bench_outage": "Errors: 0",
    "bench_pages": "/sources/2 changed",
    "bench_pastes": "five times too long",
    "bench_phone": "again  /sets/2",
    "bench_plans": "x planning the set",
    "bench_ranking": "1 of 1 equal milp's optimum",
    "bench_restore": "0 neither old nor new",
    "bench_same": "0 of 2 answers differ",
    "bench_record": "errors of others: 0",
    "bench_sets": "unchanged",
    "bench_silent": "not in the file once: 0",
    "bench_start": "Goal for the first page",
    "bench_trips": "goal: under 2000",
    "bench_whites": "whole answer with the four plans",
    "check_search": "  1: 20 gels",
}
"""What stands in the last lines of what each prints."""
IN_A_BROWSER = ("bench_phone",)
"""Run by tests/browser/test_benchmark.py."""
TOGETHER = (
    ("bench_advice", "bench_dial", "bench_ensemble", "bench_heads", "bench_large", "bench_pages"),
    (
        "bench_pastes",
        "bench_plans",
        "bench_ranking",
        "bench_sets",
        "bench_trips",
        "bench_whites",
        "check_search",
    ),
)
"""What one process does after another: they start no server, and most of their time was to load numpy."""
ALONE = tuple(name for name in LAST if not any(name in names for names in (IN_A_BROWSER, *TOGETHER)))


def ran(*command: str, scipy: bool = False) -> str:
    """Run a script of this folder, as users have it or with SciPy, and return what it printed."""
    paths = os.environ["PYTHONPATH"].split(os.pathsep)[scipy:]  # the first one hides it: tests/conftest.py
    ran = subprocess.run(
        [sys.executable, f"tests/benchmarks/{command[0]}.py", *command[1:]],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
        capture_output=True,
        text=True,
        encoding="utf-8",
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
    return ran.stdout


def last_lines(printed: str) -> str:
    return "\n".join(printed.splitlines()[-8:])


def test_all_of_them_are_here():
    here = Path(__file__).parent
    scripts = {path.stem for pattern in ("bench_*.py", "check_*.py") for path in here.glob(pattern)}
    assert scripts == set(LAST)


def test_who_asks_for_help_hears_what_is_measured_and_gets_no_run():
    said = ran("bench_ranking", "--help")
    assert said.startswith("How fast the ranking is")
    assert LAST["bench_ranking"] not in said


@pytest.mark.parametrize("name", ALONE)
def test_a_short_round_runs_to_its_end(name):
    assert LAST[name] in last_lines(ran(name, "--short"))


@pytest.mark.parametrize("names", TOGETHER, ids=lambda names: names[0])
def test_short_rounds_in_one_process_run_to_their_ends(names):
    _, *printed = ran("short", *names, scipy=True).split("== ")
    assert [each.split("\n")[0] for each in printed] == list(names)
    for name, lines in zip(names, printed, strict=True):
        assert LAST[name] in last_lines(lines), name
