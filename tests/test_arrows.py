"""The layers of DEVELOPERS.md: which package may know which, and no module that leads back to itself."""

import ast
from collections.abc import Iterator
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


def imported(name: str, path: Path, known: dict[str, Path]) -> Iterator[str]:
    """The advisor's own modules that one imports, also where only types are checked."""
    package = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.level:
            base = [*package[: len(package) - node.level + 1], *(node.module or "").split(".")]
            whole = ".".join(part for part in base if part)
            for alias in node.names:
                yield f"{whole}.{alias.name}" if f"{whole}.{alias.name}" in known else whole


def layer(name: str) -> str:
    """The package within the advisor, such as colour; a module of its top, or nothing."""
    return name.partition(".")[2].partition(".")[0]


KNOWN = modules()
ARROWS = {name: set(imported(name, path, KNOWN)) for name, path in KNOWN.items()}


def test_the_imports_are_seen():
    assert len(KNOWN) > 150
    assert "advisor.colour.loci" in ARROWS["advisor.advice.readings.chromaticity"]


def test_each_package_knows_only_those_below_it():
    for name, others in ARROWS.items():
        package = layer(name)
        if package in MAY_KNOW:
            below = set(map(layer, others)) & set(MAY_KNOW)
            assert below <= MAY_KNOW[package] | {package}, name


def test_no_module_leads_back_to_itself():
    TopologicalSorter(ARROWS).prepare()  # raises CycleError, with the way round
