from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.store import Database, GelStore, SetStore
from tests.store.samples import SHIPPED


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "advisor.db"


@pytest.fixture
def db(path: Path) -> Iterator[Database]:
    with Database(path) as opened:
        yield opened


@pytest.fixture
def sets(db: Database) -> SetStore:
    return SetStore(db)


@pytest.fixture
def gels(db: Database) -> GelStore:
    return GelStore(db, SHIPPED)
