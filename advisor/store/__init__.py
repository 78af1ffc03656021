"""One SQLite file: sets, readings, gel tables, phones, their history; migrations, backups, writes done once.

Beside it, as files: the lock of the folder, and links by which a phone becomes a host.

Knows the model, and nothing of Flask or of advice.
"""

from .crew.gels import GelStore
from .file.database import Database
from .file.faults import NotFound, StoreFault
from .sets.sets import SetStore
from .tables.records import (
    Change,
    Conflict,
    SetSummary,
    StoredReading,
    StoredSet,
    StoredSource,
    StoredTable,
    TableVersion,
)

__all__ = [
    "Change",
    "Conflict",
    "Database",
    "GelStore",
    "NotFound",
    "SetStore",
    "SetSummary",
    "StoreFault",
    "StoredReading",
    "StoredSet",
    "StoredSource",
    "StoredTable",
    "TableVersion",
]
