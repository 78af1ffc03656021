"""The front door for programs in Python: three functions, and the types beside them."""

import doctest
from pathlib import Path

import pytest

import advisor
from advisor.imports import read_gels
from advisor.model import Refused
from advisor.resources import folder

GENERIC = folder("gels") / "generic.csv"


def test_its_examples_are_true():
    done = doctest.testmod(advisor)
    assert done.attempted >= 5 and done.failed == 0


def test_the_package_tells_that_it_has_types():
    assert (Path(advisor.__file__).parent / "py.typed").is_file()


def test_what_read_gels_returns_is_taken():
    table = read_gels(GENERIC.read_bytes())
    tables = (table, table.rows, None)
    by_table, by_rows, usual = (advisor.predict(6800, 0.004, ["¼ CTO"], gels=gels) for gels in tables)
    assert by_table == by_rows == usual
    assert by_table.gels == ["CTO 1/4"]


def test_limits_are_keywords():
    answer = advisor.advise(6800, 0.004, max_layers=1, exclude_families=["CTO"])
    assert all(stack.layers <= 1 and "CTO 1/4" not in stack.gels for stack in answer.stacks)


def test_under_4000_kelvins_the_white_is_planckian():
    assert advisor.predict(3200, 0, [], to=3200).miss.steps < 0.01


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ((99, 0), "CCT 99 is out of range"),
        ((5600, 4), "(0.0004 or 0.004?)"),
    ],
)
def test_what_cannot_be_is_refused_with_what_is_allowed(asked, says):
    with pytest.raises(Refused, match=r"Allowed: ") as no:
        advisor.advise(*asked)
    assert says in str(no.value)


def test_a_white_that_cannot_be_is_refused():
    with pytest.raises(Refused, match="target"):
        advisor.advise(5600, 0, to=3)


def test_a_gel_that_is_not_in_the_table_is_named():
    with pytest.raises(Refused, match="no gel is called '¼ Teal'"):
        advisor.predict(5600, 0, ["¼ Teal"])
