"""Numbers that people are told stand in the tests as numbers, not as names taken from what is tested."""

import ast
import importlib
from pathlib import Path

TESTS = Path(__file__).parent
HELD_AGAINST_A_SOURCE = {
    ("advisor.colour.observer.chromaticity", "STEP_DELTA_UV"),
    ("advisor.colour.observer.loci", "C2"),
}
"""What the tests compare with a published value: there the name is what is tested."""
NO_LIMIT = {("advisor.advice.stacks.enumerate", "NONE"), ("advisor.advice.cost.loss", "NARROWER")}
"""What means that there is no gel, and what a proof rests on: neither is told to anybody."""


def is_number(value):
    if isinstance(value, tuple):
        return bool(value) and all(is_number(part) for part in value)
    return isinstance(value, int | float) and not isinstance(value, bool)


def taken(source):
    """Yield module and name of everything in capitals that a test takes from the product."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and (node.module or "").partition(".")[0] == "advisor":
            yield from ((node.module, alias.name) for alias in node.names if alias.name.isupper())


def test_no_test_takes_its_numbers_from_what_it_tests():
    found = set()
    for path in TESTS.rglob("test_*.py"):
        for module, name in taken(path.read_text(encoding="utf-8")):
            if is_number(getattr(importlib.import_module(module), name)):
                found.add((module, name))
    assert found >= HELD_AGAINST_A_SOURCE, "the reader finds what is there"
    assert found - HELD_AGAINST_A_SOURCE - NO_LIMIT == set(), "write these into the tests as numbers"
