"""The lists of mutants name files and tests that are there, and texts that stand in their file once."""

import tomllib
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
LISTS = sorted(HERE.glob("*.toml"))


@pytest.mark.parametrize("path", LISTS, ids=lambda path: path.stem)
def test_a_list_can_be_run(path):
    found = tomllib.loads(path.read_text(encoding="utf-8"))
    assert set(found) == {"module", "tests", "mutant"}
    module = (ROOT / found["module"]).read_text(encoding="utf-8")
    for mutant in found["mutant"]:
        assert {"old", "new"} <= set(mutant) <= {"old", "new", "tests", "equivalent"}
        assert mutant["old"].strip() and mutant["old"] != mutant["new"]
        assert module.count(mutant["old"]) == 1, mutant["old"]
        named = [name for name in mutant.get("tests", found["tests"]) if name.startswith("tests/")]
        assert named and all((ROOT / name.partition("::")[0]).is_file() for name in named)
    changes = [(mutant["old"], mutant["new"]) for mutant in found["mutant"]]
    assert len(set(changes)) == len(changes)


def test_there_are_enough_to_mean_something():
    lists = [tomllib.loads(path.read_text(encoding="utf-8"))["mutant"] for path in LISTS]
    assert sum(len(found) for found in lists) >= 150
