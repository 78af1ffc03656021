from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.model import Reading, Stage, Work
from advisor.store import Database, GelStore, SetStore
from tests.conftest import in_one_step
from tests.store.samples import OFFICE, SHIPPED, WINDOW


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "advisor.db"


@pytest.fixture
def db(path: Path) -> Iterator[Database]:
    with in_one_step():
        opened = Database(path)
    with opened:
        yield opened


@pytest.fixture
def sets(db: Database) -> SetStore:
    return SetStore(db)


@pytest.fixture
def gels(db: Database) -> GelStore:
    return GelStore(db, SHIPPED)


@pytest.fixture
def office(sets: SetStore) -> int:
    noor = sets.by("Noor")
    number = noor.create_set(OFFICE)
    window, lamp = (s.id for s in sets.get_set(number).sources)
    hung = WINDOW.model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTO 1/2"])})
    noor.update_source(window, hung)
    noor.add_reading(window, Reading(cct=5600, duv=0.003, gels=["CTO 1/2"]))
    noor.by("Ilya").add_reading(lamp, Reading(cct=2600, duv=0.0, level=50))
    return number
