"""What travels in a wheel, and where it is found again."""

import ast
import sys
import tomllib
from pathlib import Path

import pytest

from advisor import resources
from advisor.version import fingerprint

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
FOLDERS = ("templates", "static", "gels")


def test_the_folders_travel_inside_the_package():
    included = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert included == {name: f"advisor/{name}" for name in FOLDERS}
    assert PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"] == ["advisor"]


def test_the_licence_is_said_alike_everywhere():
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert text.startswith("BSD 3-Clause License\n")
    assert "the Gel advisor contributors" in text
    assert (PROJECT["project"]["license"], PROJECT["project"]["license-files"]) == (
        "BSD-3-Clause",
        ["LICENSE"],
    )
    assert "[BSD-3-Clause](LICENSE)" in (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", FOLDERS)
def test_the_folders_are_found_in_a_checkout(name):
    found = resources.folder(name)
    assert found == ROOT / name
    assert any(found.iterdir())


@pytest.mark.parametrize("name", FOLDERS)
def test_the_folders_are_found_in_a_wheel(tmp_path, monkeypatch, name):
    (tmp_path / "advisor" / name).mkdir(parents=True)
    (tmp_path / name).mkdir()  # something else of that name in site-packages
    monkeypatch.setattr(resources, "_PACKAGE", tmp_path / "advisor")
    assert resources.folder(name) == tmp_path / "advisor" / name


def test_a_fingerprint_changes_with_what_a_folder_holds(tmp_path):
    (tmp_path / "a.css").write_text("p {}")
    first = fingerprint(tmp_path)
    assert len(first) == 12 and fingerprint(tmp_path) == first
    (tmp_path / "a.css").write_text("p { }")
    changed = fingerprint(tmp_path)
    (tmp_path / "a.css").rename(tmp_path / "b.css")
    renamed = fingerprint(tmp_path)
    assert len({first, changed, renamed}) == 3
    for name in ("b.css~", ".b.css.swp", "b.cpython-311.pyc"):
        (tmp_path / name).write_text("an editor's")
    assert fingerprint(tmp_path) == renamed
    assert fingerprint(tmp_path, tmp_path) != renamed


def used_folders():
    """Every folder that the code asks for by name."""
    for path in (ROOT / "advisor").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            called = (
                isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "folder"
            )
            if called and isinstance(node.args[0], ast.Constant):
                yield node.args[0].value


def test_no_other_folder_is_used():
    assert set(used_folders()) == set(FOLDERS)


def test_the_command_is_the_one_that_is_installed():
    assert PROJECT["project"]["scripts"] == {"advisor": "advisor.cli:main"}


def test_what_is_imported_is_what_is_required():
    """Every package that the product imports is among its dependencies."""
    imported = set()
    for path in (ROOT / "advisor").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                imported |= {name.name.partition(".")[0] for name in node.names}
            elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
                imported.add(node.module.partition(".")[0])
    required = {line.partition(">")[0].strip() for line in PROJECT["project"]["dependencies"]}
    modules = {"colour" if name == "colour-science" else name for name in required}
    # pydantic brings its core, and Flask its Werkzeug and MarkupSafe.
    brought = {"pydantic_core", "werkzeug", "markupsafe"}
    assert modules <= imported - set(sys.stdlib_module_names) <= modules | brought
