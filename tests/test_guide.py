"""The guide and its pages: what they name is there, and the guide stays short."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
GUIDE = ROOT / "DEVELOPERS.md"
PAGES = [GUIDE, *sorted((ROOT / ".docs").glob("*.md"))]
FOLDERS = ("advisor", "templates", "static", "gels", "tests")
PACKAGES = ("advice", "colour", "imports", "model", "store", "web")

paged = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)


def told(page: Path) -> list[str]:
    """What stands in backticks, outside blocks of code."""
    text = re.sub(r"^```.*?^```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL | re.MULTILINE)
    return re.findall(r"`([^`\n]+)`", text)


def names_in(path: Path) -> set[str]:
    """What a module defines at its top: classes, functions, constants."""
    found = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.ClassDef | ast.FunctionDef):
            found.add(node.name)
        for target in getattr(node, "targets", [getattr(node, "target", None)]):
            if isinstance(target, ast.Name):
                found.add(target.id)
    return found


def is_there(place: str) -> bool:
    """Whether a room, a module, or a name in one is where `advice.readings.steps` says."""
    parts = place.split(".")
    for cut in range(len(parts), 0, -1):
        at = ROOT.joinpath("advisor", *parts[:cut])
        if at.with_suffix(".py").is_file():
            return cut == len(parts) or parts[cut] in names_in(at.with_suffix(".py"))
        if at.is_dir():
            return cut == len(parts)
    return False


@paged
def test_paths_that_are_named_exist(page):
    named = [word for word in told(page) if word.partition("/")[0] in FOLDERS and "/" in word]
    for word in named:
        place = word.split()[0].rstrip("/")
        assert list(ROOT.glob(place)) or (ROOT / place).exists(), word


@paged
def test_modules_that_are_named_exist(page):
    named = [w for w in told(page) if re.fullmatch(r"[a-z_]+(\.\w+)+", w) and w.split(".")[0] in PACKAGES]
    assert [word for word in named if not is_there(word)] == []


@paged
def test_links_lead_somewhere(page):
    for to in re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8")):
        if not to.startswith("http"):
            file, _, place = to.partition("#")
            at = (page.parent / file).resolve() if file else page
            assert at.exists(), to
            heads = re.findall(r"^#+ (.+)$", at.read_text(encoding="utf-8"), re.MULTILINE) if place else ()
            assert not place or place in {
                re.sub(r"[^\w -]", "", h).lower().replace(" ", "-") for h in heads
            }, to


def test_the_glossary_says_where_each_word_lives():
    rows = re.findall(
        r"^\| .+ \| .+ \| (.+) \|$", (ROOT / ".docs/glossary.md").read_text("utf-8"), re.MULTILINE
    )
    rows = [row for row in rows if row != "where"]
    assert len(rows) > 60
    for row in rows:
        *name, path = re.findall(r"`([^`]+)`", row)
        assert (ROOT / path).is_file(), row
        assert set(name) <= names_in(ROOT / path), row


def test_the_guide_is_short():
    lines = GUIDE.read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 190
    assert max(map(len, lines)) <= 120
