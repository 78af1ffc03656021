"""The folder of published values holds nothing that no test reads, and nothing without an origin."""

import ast
import re
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from references import FOLDER, SEEN, entries, reference, references

TESTS = FOLDER.parent
COMMON = "common practice, no source"


@dataclass
class Asked:
    """What test sources ask the references for, found by reading them, not by running them."""

    ids: set[str] = field(default_factory=set)
    families: set[str] = field(default_factory=set)
    tables: set[str] = field(default_factory=set)
    unclear: list[str] = field(default_factory=list)

    def read(self, source: str, name: str) -> "Asked":
        known = {"reference": self.ids, "references": self.families, "table": self.tables}
        for node in ast.walk(ast.parse(source)):
            if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in known):
                continue
            match node.args:
                case [ast.Constant(value=str(text))] if text:
                    known[node.func.id].add(text)
                case _:
                    self.unclear.append(f"{name}:{node.lineno}")
        return self

    def covers(self, id_: str) -> bool:
        return id_ in self.ids or any(id_.startswith(family) for family in self.families)


def asked() -> Asked:
    found = Asked()
    for path in sorted(TESTS.rglob("test_*.py")):
        if path != Path(__file__):
            found.read(path.read_text(encoding="utf-8"), str(path.relative_to(TESTS)))
    return found


def test_every_entry_is_read_by_a_test():
    found = asked()
    assert [id_ for id_ in entries() if not found.covers(id_)] == []


def test_every_table_is_read_by_a_test_and_has_its_generator_beside_it():
    tables = {path.name for path in FOLDER.glob("*.csv")}
    assert tables == asked().tables
    for name in tables:
        assert (FOLDER / f"make_{Path(name).stem}.py").is_file()


def test_the_folder_holds_only_data_its_reader_and_generators():
    known = {"__init__.py", Path(__file__).name}
    others = [
        path.name
        for path in FOLDER.iterdir()
        if path.is_file()
        and path.suffix not in {".json", ".csv"}
        and not (path.name in known or path.name.startswith("make_"))
    ]
    assert others == []


def test_tests_ask_by_literal_text():
    found = asked()
    assert found.unclear == []
    assert [family for family in found.families if len(family) < 3] == []


def test_every_entry_has_an_origin():
    parts = ("quantity", "unit", "source", "seen")
    assert [(id_, p) for id_, entry in entries().items() for p in parts if not entry[p].strip()] == []
    assert [id_ for id_, entry in entries().items() if entry["value"] in (None, "", [], {})] == []


def names_its_source(source: str) -> bool:
    """Tell whether a source is a title with its year, a computation, or common practice: nothing looser."""
    if source == COMMON or re.match(r"computed with \S+", source):
        return True
    title = re.findall(r"[A-Za-z]{4,}", source)
    return bool(re.search(r"\b(19|20)\d\d\b", source)) and len(title) >= 3


def test_every_source_is_a_title_with_its_year_a_computation_or_common_practice():
    assert [(id_, e["source"]) for id_, e in entries().items() if not names_its_source(e["source"])] == []


@pytest.mark.parametrize(
    "source",
    [
        "",
        "a reference manual",
        "an article of 1974",
        "Author 2002 p. 1",
        "computed",
        "common practice",
        "ISO 2720:1974",
        "glossary (example.org)",
    ],
)
def test_a_source_without_title_or_year_is_none(source):
    assert not names_its_source(source)


def test_how_a_value_came_here_is_said_in_one_of_few_words():
    assert [(id_, e["seen"]) for id_, e in entries().items() if e["seen"] not in SEEN] == []
    trade = {e["seen"] for e in entries().values() if e["source"] == COMMON}
    assert trade == {"common practice", "from memory"}
    assert {e["source"] for e in entries().values() if e["seen"] == "common practice"} == {COMMON}


def test_no_source_is_an_address_on_the_web():
    text = "".join(path.read_text(encoding="utf-8") for path in FOLDER.glob("*.json"))
    assert re.findall(r"https?://|www\.|\b[a-z-]+\.(?:com|org|net|info|io|[a-z]{2})\b(?!/)", text) == []


def test_the_reader_of_sources_finds_what_is_asked_and_nothing_else():
    source = """
# reference("in-a-comment")
reference("one"); references("family-"); table("grid.csv")
reference("a" + name); references("")
other("two")
"""
    found = Asked().read(source, "sample.py")
    assert (found.ids, found.families, found.tables) == ({"one"}, {"family-"}, {"grid.csv"})
    assert found.unclear == ["sample.py:4", "sample.py:4"]
    assert found.covers("one") and found.covers("family-7") and not found.covers("two")


def test_unknown_entries_are_errors():
    with pytest.raises(KeyError):
        reference("no such entry")
    with pytest.raises(KeyError):
        references("no-such-family-")
