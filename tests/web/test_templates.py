"""Templates print, Python decides: short lines, and at most one condition in each."""

import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from jinja2 import Environment

TEMPLATES = Path(__file__).parents[2] / "templates"
LONGEST = 160


def conditions(source: str) -> Counter[int]:
    """Count the conditions of a template by line: `if` and `elif` of blocks, loops and expressions."""
    words = ((line, value) for line, kind, value in Environment().lex(source) if kind == "name")
    return Counter(line for line, value in words if value in ("if", "elif"))


def broken(path: Path) -> list[str]:
    """The lines of a template that are too long, or decide too much."""
    source = path.read_text(encoding="utf-8")
    counts = conditions(source)
    return [
        f"{path.relative_to(TEMPLATES)}:{number}"
        for number, line in enumerate(source.splitlines(), 1)
        if len(line) > LONGEST or counts[number] > 1
    ]


def names() -> list[str]:
    return sorted(path.relative_to(TEMPLATES).as_posix() for path in TEMPLATES.rglob("*.html"))


@pytest.mark.parametrize(
    ("line", "count"),
    [
        ("{% if a %}", 1),
        ("{{ 'x' if a else 'y' }}", 1),
        ("{% for a in b if a.c %}", 1),
        ("{% if a %}b{% elif c %}d{% endif %}", 2),
        ("as if {# if a #} it were {{ 'if' }}", 0),
    ],
)
def test_conditions_are_counted(line, count):
    assert conditions(f"\n{line}\n")[2] == count


@pytest.mark.parametrize("name", names())
def test_no_line_is_too_long_or_decides_too_much(name):
    assert broken(TEMPLATES / name) == []


def used(source: str) -> set[str]:
    """Return the names that a template writes with: filters behind a bar, and those that `map` is told."""
    tokens = [(kind, value) for _, kind, value in Environment().lex(source) if kind != "whitespace"]
    behind = {value for (_, bar), (_, value) in pairwise(tokens) if bar == "|"}
    return behind | {value.strip("\"'") for kind, value in tokens if kind == "string"}


def test_used_filters_are_seen():
    assert used("{{ a | b }} | c {{ d | map('e') }} {# | f #}") == {"b", "map", "e"}


def test_templates_are_given_no_word_that_none_of_them_writes_with(app):
    given = app.jinja_env.filters.keys() - Environment().filters.keys() - {"tojson"}
    written = set().union(*(used((TEMPLATES / name).read_text(encoding="utf-8")) for name in names()))
    assert given
    assert sorted(given - written) == [], "take these out of web.filters"


def test_every_macro_is_written_with():
    sources = [(TEMPLATES / name).read_text(encoding="utf-8") for name in names()]
    defined = {name for source in sources for name in re.findall(r"{%-? macro (\w+)\(", source)}
    called = {name for source in sources for name in re.findall(r"(?<!macro )\b(\w+)\(", source)}
    renamed = {name for source in sources for name in re.findall(r"(\w+) as \w+", source)}
    assert len(defined) > 50
    assert sorted(defined - called - renamed) == []


IMPORTS = re.compile(r'\{% from "([^"]+)" import (.+?)(?: with context)? %\}')


@pytest.mark.parametrize("name", names())
def test_what_is_imported_is_there_and_used(name):
    source = (TEMPLATES / name).read_text(encoding="utf-8")
    for other, wanted in IMPORTS.findall(source):
        there = set(re.findall(r"\{% macro (\w+)\(", (TEMPLATES / other).read_text(encoding="utf-8")))
        for macro, _, alias in (one.strip().partition(" as ") for one in wanted.split(",")):
            assert macro in there, f"{other} has no {macro}"
            assert re.search(rf"\b{alias or macro}\(", IMPORTS.sub("", source)), f"{macro} is not used"
