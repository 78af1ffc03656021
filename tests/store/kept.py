"""Sets kept in a file, by their names."""

from pathlib import Path

from advisor.model import LightSet, Target
from advisor.store import Database, SetStore


def names_in(path: Path) -> list[str]:
    with Database(path) as db:
        return [s.name for s in reversed(SetStore(db).list_sets())]


def add_named(sets: SetStore, name: str) -> None:
    sets.create_set(LightSet(name=name, target=Target(cct=5600)))
