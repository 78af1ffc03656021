"""The layers of DEVELOPERS.md: which package may know which, and no module that leads back to itself."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parents[1]
MAY_KNOW = {
    "colour": set(),
    "model": set(),
    "advice": {"colour", "model"},
    "imports": {"model"},
    "store": {"model"},
    "web": {"advice", "imports", "store", "model"},
}


def modules() -> dict[str, Path]:
    found = {}
    for path in (ROOT / "advisor").rglob("*.py"):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return found


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(name: str, path: Path, known: dict[str, Path]) -> Iterator[str]:
    """The advisor's own modules that one imports, also where only types are checked."""
    package = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.ImportFrom) and node.level:
            base = [*package[: len(package) - node.level + 1], *(node.module or "").split(".")]
            whole = ".".join(part for part in base if part)
            for alias in node.names:
                yield f"{whole}.{alias.name}" if f"{whole}.{alias.name}" in known else whole


def layer(name: str) -> str:
    """The package within the advisor, such as colour; a module of its top, or nothing."""
    return name.partition(".")[2].partition(".")[0]


ROOMED = {"advice", "colour", "imports", "model", "store", "web"}
KNOWN = modules()


@cache
def arrows() -> dict[str, set[str]]:
    """What each module imports: asked by tests, since every worker of a run loads this file."""
    return {name: set(imported(name, path, KNOWN)) for name, path in KNOWN.items()}


def test_the_imports_are_seen():
    assert len(KNOWN) > 150
    assert "advisor.colour.observer.loci" in arrows()["advisor.advice.readings.chromaticity"]


def test_each_package_knows_only_those_below_it():
    for name, others in arrows().items():
        package = layer(name)
        if package in MAY_KNOW:
            below = set(map(layer, others)) & set(MAY_KNOW)
            assert below <= MAY_KNOW[package] | {package}, name


def test_no_module_leads_back_to_itself():
    TopologicalSorter(arrows()).prepare()  # raises CycleError, with the way round


def room(name: str) -> str:
    """The room of a module: advisor.advice.cost of advisor.advice.cost.judge; empty where it is in none."""
    package = name if KNOWN[name].name == "__init__.py" else name.rpartition(".")[0]
    return package if package.count(".") >= 2 and layer(name) in ROOMED else ""


def test_no_room_leads_back_to_itself():
    rooms: dict[str, set[str]] = {}
    for name, others in arrows().items():
        if here := room(name):
            rooms.setdefault(here, set()).update(
                there for other in others if (there := room(other)) and there != here
            )
    TopologicalSorter(rooms).prepare()


def test_a_room_is_no_hall():
    """From three modules to twelve, its door not counted."""
    held = Counter(room(name) for name, path in KNOWN.items() if path.name != "__init__.py")
    for name, count in held.items():
        if name and name != "advisor.web.pages":
            assert 3 <= count <= 12, (name, count)


def test_no_module_is_long():
    lines = {name: len(path.read_text(encoding="utf-8").splitlines()) for name, path in KNOWN.items()}
    assert not {name: count for name, count in lines.items() if count > 300}


def test_every_room_says_at_its_door_what_it_is_for_what_goes_in_and_out_and_what_it_may_import():
    for name in {room(name) for name in KNOWN} - {""}:
        if KNOWN[name].parent.name != "pages":
            said = ast.get_docstring(parsed(KNOWN[name])) or ""
            assert all(word in said for word in ("In: ", "Out: ", "May import")), name


def test_no_public_class_name_stands_twice():
    names = Counter(
        node.name
        for path in KNOWN.values()
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert not [name for name, count in names.items() if count > 1]


SCRIPTS = ("page", "reading", "link", "basis")
"""The rooms of `static/`, from the top. A page's own scripts know nothing of how a reading is taken."""
FOUND_IN = re.compile(r'(?:from|import) ?\(?"([./a-z-]+)"')


def test_the_scripts_know_only_rooms_below_theirs():
    static = ROOT / "static"
    assert {path.name for path in static.iterdir() if path.is_dir()} == set(SCRIPTS)
    arrows = Counter()
    for path in static.glob("*/*.js"):
        for other in FOUND_IN.findall(path.read_text(encoding="utf-8")):
            known = (path.parent / other).resolve()
            assert known.is_file(), (path.name, other)
            arrows[path.parent.name, known.parent.name] += 1
    assert arrows["reading", "link"] and arrows["link", "basis"]
    assert all(SCRIPTS.index(one) <= SCRIPTS.index(other) for one, other in arrows)
    assert ("page", "reading") not in arrows
    assert all(3 <= len(list((static / name).glob("*.js"))) <= 12 for name in SCRIPTS)
