"""Sources as they were read last: a set whose sources are as they were is read without their readings."""

import sqlite3
import threading
from collections import OrderedDict
from collections.abc import Sequence

from ...model.sets.lightset import MAX_SOURCES
from ...model.sets.source import MAX_READINGS
from .records import StoredSource

MOST = MAX_SOURCES * (MAX_READINGS + 1)
"""Most readings of all sources that are kept, some 1 kB each: those of the largest set that there may be."""


class KeptSources:
    """Sources by their rows, from any thread; those that nobody asked for the longest go first.

    Whatever changes a source, its readings or its work raises its revision, which stands in its row. So no
    row may come from within a transaction that writes: that may be rolled back, and its revision come again.
    """

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._kept: OrderedDict[int, tuple[tuple[object, ...], int, StoredSource]] = OrderedDict()
        self._readings = 0
        self._lock = threading.Lock()

    def find(self, rows: Sequence[sqlite3.Row]) -> dict[int, StoredSource]:
        """Return those of the sources in `rows` that are kept as they are there, by id."""
        found = {}
        with self._lock:
            for row in rows:
                kept = self._kept.get(row["id"])
                if kept is not None and kept[0] == tuple(row):
                    self._kept.move_to_end(row["id"])
                    found[row["id"]] = kept[2]
        return found

    def keep(self, rows: Sequence[sqlite3.Row], sources: Sequence[StoredSource]) -> None:
        """Keep sources, made from their rows, in place of what they were before and of what is too much."""
        with self._lock:
            for row, source in zip(rows, sources, strict=True):
                count = 1 + len(source.source.readings)
                self._drop(row["id"])
                self._kept[row["id"]] = (tuple(row), count, source)
                self._readings += count
            while self._readings > self._most:
                self._drop(next(iter(self._kept)))

    def only_found(self) -> "KeptSources":
        """Return the same for a transaction that writes: it finds what is kept, and keeps nothing."""
        return _OnlyFound(self)

    def _drop(self, source_id: int) -> None:
        if source_id in self._kept:
            self._readings -= self._kept.pop(source_id)[1]


class _OnlyFound(KeptSources):
    def __init__(self, kept: KeptSources) -> None:
        super().__init__(0)
        self._found_in = kept

    def find(self, rows: Sequence[sqlite3.Row]) -> dict[int, StoredSource]:
        return self._found_in.find(rows)

    def keep(self, rows: Sequence[sqlite3.Row], sources: Sequence[StoredSource]) -> None:
        """Keep nothing."""
