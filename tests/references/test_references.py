"""The folder of published values holds nothing that no test reads, and nothing without an origin."""

import ast
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from references import FOLDER, entries, reference, references

TESTS = FOLDER.parent


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
