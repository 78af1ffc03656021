"""The crew's gel table, kept as whole versions: going back to one adds a version, and none is lost."""

import sqlite3
from collections.abc import Callable
from itertools import pairwise

from pydantic import TypeAdapter, ValidationError

from ...model import Gel, GelTable
from ...model.basis.base import name_key
from ..file.database import Database, utc_now
from ..file.faults import NotFound
from ..tables.reading_rows import unreadable
from ..tables.records import Conflict, RemovedGel, StoredTable, TableVersion
from ..tables.rows import one_row

_WHAT = "version of the gel table"
_ROWS = TypeAdapter(list[Gel])
_MOST_ONE_BY_ONE = 5
"""A version that left out more rows than this offers none of them singly: the whole table is put back."""
_BACK, _SHIPPED_BACK = "put back: ", "shipped table put back"


class GelStore:
    """The versions of the gel table in `db`; `shipped` is version 0, in force until one is saved.

    `who` is the name of the person who writes; each version keeps it.
    """

    def __init__(self, db: Database, shipped: GelTable, who: str = "") -> None:
        self._db = db
        self._who = who
        self._shipped = StoredTable(version=0, table=shipped, made_at=None, why="as shipped")

    def by(self, who: str) -> "GelStore":
        """Return a store of the same versions that writes in the name of `who`."""
        return GelStore(self._db, self._shipped.table, who)

    def in_force(self) -> StoredTable:
        """Return the newest version."""
        with self._db.read() as conn:
            return self._newest(conn)

    def get(self, version: int) -> StoredTable:
        """Return one version; raises NotFound."""
        with self._db.read() as conn:
            return self._get(conn, version)

    def since(self, version: int) -> list[StoredTable]:
        """Return one version and all after it, oldest first; raises NotFound."""
        with self._db.read() as conn:
            later = conn.execute("SELECT * FROM gel_tables WHERE id > ? ORDER BY id", (version,)).fetchall()
            return [self._get(conn, version), *map(_read, later)]

    def replace(self, table: GelTable, why: str, version: int | None = None) -> StoredTable:
        """Put `table` in force as a new version, and return it.

        `version` is the one that the writer saw; raises Conflict if it is not in force any more.
        None skips that check.
        """
        with self._db.write() as conn:
            self._check(conn, version)
            return _add(conn, table, why, self._who)

    def add_shipped(self, wanted: Callable[[Gel], bool], why: str) -> StoredTable:
        """Put the shipped rows that are `wanted` in use, as a new version; return the table in force.

        A row that the table already has is only switched on. If all are in use, nothing is written.
        """
        with self._db.write() as conn:
            now = self._newest(conn)
            rows = {gel.name: gel for gel in now.table.rows}
            for gel in filter(wanted, self._shipped.table.rows):
                rows[gel.name] = rows.get(gel.name, gel).model_copy(update={"on": True})
            if list(rows.values()) == now.table.rows:
                return now
            return _add(conn, GelTable(rows=list(rows.values())), why, self._who)

    def lose(self, name: str, sheets: int, why: str) -> StoredTable:
        """Take so many sheets of a gel off its stock, as a new version; return the table in force.

        A gel whose sheets nobody counted, or that the table lacks, stays as it is.
        """
        with self._db.write() as conn:
            now = self._newest(conn)
            rows = [
                gel.model_copy(update={"stock": max(gel.stock - sheets, 0)})
                if gel.name == name and gel.stock is not None
                else gel
                for gel in now.table.rows
            ]
            return now if rows == now.table.rows else _add(conn, GelTable(rows=rows), why, self._who)

    def back_to(self, version: int, seen: int | None = None) -> StoredTable:
        """Put an earlier version in force again, as a new version; raises NotFound.

        `seen` is the version that the writer saw in force: raises Conflict if another one is, as `replace`
        does. None skips that check.
        """
        with self._db.write() as conn:
            earlier = self._get(conn, version)
            self._check(conn, seen)
            return _add(conn, earlier.table, _put_back(earlier), self._who)

    def bring_back(self, version: int, name: str, why: str) -> StoredTable:
        """Bring back a row that a version left out, and keep all later changes; return the table in force.

        The row goes back to its old place. Raises NotFound if that version left out no row of this name. If
        the table has a different row of this name by now, raises Conflict with the version that put it in.
        """
        with self._db.write() as conn:
            left, before = self._get(conn, version), self._get(conn, self._before(conn, version))
            row = before.table.find(name)
            if row is None or _find(left.table, name):
                raise NotFound("removed gel", version)
            now = self._newest(conn)
            if (there := _find(now.table, name)) is not None:
                if there == row:
                    return now
                raise Conflict(self._since(conn, version, name))
            rows = list(now.table.rows)
            above = {g.name for g in before.table.rows[: before.table.rows.index(row)]}
            at = max((i + 1 for i, g in enumerate(rows) if g.name in above), default=0)
            return _add(conn, GelTable(rows=[*rows[:at], row, *rows[at:]]), why, self._who)

    def removed(self, most: int) -> list[RemovedGel]:
        """Return the gels that were left out of the table and are not in it now, the last one first.

        Only the newest `most` versions are searched. A version that left out many gels, such as an import,
        is passed over.
        """
        with self._db.read() as conn:
            found = conn.execute(
                "SELECT * FROM (SELECT * FROM gel_tables ORDER BY id DESC LIMIT ?) ORDER BY id", (most,)
            ).fetchall()
            if not found:
                return []
            versions = [self._get(conn, self._before(conn, found[0]["id"])), *map(_read, found)]
        present, gone = {name_key(g.name) for g in versions[-1].table.rows}, []
        for before, left in pairwise(versions):
            kept = {name_key(g.name) for g in left.table.rows}
            out = [g.name for g in before.table.rows if name_key(g.name) not in kept]
            if len(out) <= _MOST_ONE_BY_ONE:
                gone += [RemovedGel(left.version, n, left.made_at or "", left.who) for n in reversed(out)]
        # A gel that was left out twice is listed once, for the last time.
        last = {name_key(g.name): g for g in gone if name_key(g.name) not in present}
        return [g for g in reversed(gone) if last.get(name_key(g.name)) is g]

    def _before(self, conn: sqlite3.Connection, version: int) -> int:
        row = conn.execute(
            "SELECT coalesce(max(id), 0) AS id FROM gel_tables WHERE id < ?", (version,)
        ).fetchone()
        return int(row["id"])

    def _since(self, conn: sqlite3.Connection, version: int, name: str) -> StoredTable:
        """Return the version after `version` since which the table has always had a row of this name."""
        found = conn.execute("SELECT * FROM gel_tables WHERE id > ? ORDER BY id DESC", (version,))
        newest = None
        for table in map(_read, found):
            row = _find(table.table, name)
            if row is None:
                break
            newest = table
        return newest or self._newest(conn)

    def history(self) -> list[TableVersion]:
        """Return every version without its rows, oldest first, the shipped one included."""
        first = TableVersion(0, None, self._shipped.why, len(self._shipped.table.rows))
        with self._db.read() as conn:
            rows = conn.execute(
                """SELECT id, made_at, why, who, json_array_length(rows) AS gels
                   FROM gel_tables ORDER BY id"""
            ).fetchall()
        return [first, *(TableVersion(r["id"], r["made_at"], r["why"], r["gels"], r["who"]) for r in rows)]

    def _check(self, conn: sqlite3.Connection, seen: int | None) -> None:
        """Raise Conflict where another version is in force than the writer saw; None skips the check."""
        if seen is not None and (newest := self._newest(conn)).version != seen:
            raise Conflict(newest)

    def _newest(self, conn: sqlite3.Connection) -> StoredTable:
        row = conn.execute("SELECT * FROM gel_tables ORDER BY id DESC LIMIT 1").fetchone()
        return _read(row) if row else self._shipped

    def _get(self, conn: sqlite3.Connection, version: int) -> StoredTable:
        if version == 0:
            return self._shipped
        return _read(one_row(conn, "SELECT * FROM gel_tables WHERE id = ?", _WHAT, version))


def _find(table: GelTable, name: str) -> Gel | None:
    """Return the row of this name, in any letter case; None if there is none."""
    return next((gel for gel in table.rows if name_key(gel.name) == name_key(name)), None)


def _put_back(earlier: StoredTable) -> str:
    """Say which version was put back, by the reason it was made for. “Put back” is not said twice."""
    if earlier.version == 0:
        return _SHIPPED_BACK
    return earlier.why if earlier.why.startswith((_BACK, _SHIPPED_BACK)) else _BACK + earlier.why


def _add(conn: sqlite3.Connection, table: GelTable, why: str, who: str) -> StoredTable:
    at = utc_now()
    cursor = conn.execute(
        "INSERT INTO gel_tables (made_at, why, rows, who) VALUES (?, ?, ?, ?)",
        (at, why, _ROWS.dump_json(table.rows, exclude_none=True).decode(), who),
    )
    return StoredTable(version=int(cursor.lastrowid or 0), table=table, made_at=at, why=why, who=who)


def _read(row: sqlite3.Row) -> StoredTable:
    try:
        table = GelTable(rows=_ROWS.validate_json(row["rows"]))
    except ValidationError as error:
        raise unreadable(_WHAT, row["id"], error) from error
    return StoredTable(row["id"], table, row["made_at"], row["why"], row["who"])
