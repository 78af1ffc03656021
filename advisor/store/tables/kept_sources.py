"""Sources as they were read last: a set whose sources are as they were is read without their readings.

Of very many readings only those are kept that are needed (`needed_rows`).
"""

import sqlite3
import threading
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from ...model.sets.lightset import MAX_SOURCES
from ...model.sets.source import MAX_READINGS
from .needed_rows import Needed
from .records import StoredSource

MOST = MAX_SOURCES * (MAX_READINGS + 1)
"""Most readings of all sources that are kept, some 1 kB each: those of the largest set that there may be,
where all of them are needed."""


class _Kept(NamedTuple):
    row: tuple[object, ...]
    source: StoredSource
    matched: bool | None
    size: int


class KeptSources:
    """Sources by their rows, from any thread; those that nobody asked for the longest go first.

    Whatever changes a source, its readings or its work raises its revision, which stands in its row. So no
    row may come from within a transaction that writes: that may be rolled back, and its revision come again.
    `needed` says which of many readings are kept with their source; None keeps all.
    """

    def __init__(self, most: int = MOST, needed: Needed | None = None) -> None:
        self.needed = needed
        self._most = most
        self._kept: OrderedDict[int, _Kept] = OrderedDict()
        self._readings = 0
        self._lock = threading.Lock()

    def find(self, rows: Sequence[sqlite3.Row], matched: int | None) -> dict[int, StoredSource]:
        """Return those of the sources in `rows` that are kept as they are there, by id.

        `matched` is the source that the set's target matches.
        """
        found = {}
        with self._lock:
            for row in rows:
                kept = self._kept.get(row["id"])
                if kept and kept.row == tuple(row) and kept.matched in (None, row["id"] == matched):
                    self._kept.move_to_end(row["id"])
                    found[row["id"]] = kept.source
        return found

    def keep(self, read: Iterable[tuple[sqlite3.Row, StoredSource, bool | None]]) -> None:
        """Keep sources, each with its row, in place of what they were before and of what is too much.

        With each comes whether the target matched it; None where it has all of its readings anyway.
        """
        with self._lock:
            for row, source, matched in read:
                self._drop(row["id"])
                kept = _Kept(tuple(row), source, matched, 1 + len(source.source.readings))
                self._kept[row["id"]] = kept
                self._readings += kept.size
            while self._readings > self._most:
                self._drop(next(iter(self._kept)))

    def only_found(self) -> "KeptSources":
        """Return the same for a transaction that writes: it finds what is kept, and keeps nothing."""
        return _OnlyFound(self)

    def _drop(self, source_id: int) -> None:
        if source_id in self._kept:
            self._readings -= self._kept.pop(source_id).size


class _OnlyFound(KeptSources):
    def __init__(self, kept: KeptSources) -> None:
        super().__init__(0, kept.needed)
        self._found_in = kept

    def find(self, rows: Sequence[sqlite3.Row], matched: int | None) -> dict[int, StoredSource]:
        return self._found_in.find(rows, matched)

    def keep(self, read: Iterable[tuple[sqlite3.Row, StoredSource, bool | None]]) -> None:
        """Keep nothing."""
