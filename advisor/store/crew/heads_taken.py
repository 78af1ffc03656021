"""Who is at which head: so that a work order sends no two people up the same ladder."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from ...model.basis.base import utc_text
from ..file.database import Database
from ..tables.guards import require_source
from ..tables.rows import load_source

FREED = timedelta(minutes=30)
"""After this a head is free again: whoever took it was called away. Our judgement."""


@dataclass(frozen=True, slots=True)
class HeadTaken:
    """A head that somebody is at: `holder` is their phone, `who` their name, empty where nobody said."""

    holder: str
    who: str
    at: str


class TakenHeads:
    """The heads in `db` that somebody is at. No change of a set: its record does not tell of it."""

    def __init__(self, db: Database) -> None:
        self._db = db

    def of_set(self, set_id: int) -> dict[int, HeadTaken]:
        """Return who is at the heads of a set, by the ids of their sources."""
        with self._db.read() as conn:
            found = conn.execute(
                """SELECT t.* FROM heads_taken t JOIN sources s ON s.id = t.source_id
                   WHERE s.set_id = ? AND s.deleted_at IS NULL AND t.at > ?""",
                (set_id, _still(datetime.now(UTC))),
            )
            return {row["source_id"]: HeadTaken(row["holder"], row["who"], row["at"]) for row in found}

    def take(self, source_id: int, holder: str, who: str) -> HeadTaken:
        """Give a head to a holder, who leaves the one before, and return who is at it: it may be another one.

        HeadTaken again, it is taken from then on. Raises NotFound.
        """
        now = datetime.now(UTC)
        with self._db.write() as conn:
            source = load_source(conn, source_id)
            require_source(conn, source)
            row = conn.execute(
                "SELECT * FROM heads_taken WHERE source_id = ? AND holder != ? AND at > ?",
                (source_id, holder, _still(now)),
            ).fetchone()
            if row is not None:
                return HeadTaken(row["holder"], row["who"], row["at"])
            mine = HeadTaken(holder, who, utc_text(now))
            conn.execute("DELETE FROM heads_taken WHERE holder = ?", (holder,))
            conn.execute(
                "INSERT OR REPLACE INTO heads_taken (source_id, holder, who, at) VALUES (?, ?, ?, ?)",
                (source_id, holder, who, mine.at),
            )
            return mine

    def free(self, source_id: int) -> None:
        """Free a head, whoever is at it."""
        with self._db.write() as conn:
            conn.execute("DELETE FROM heads_taken WHERE source_id = ?", (source_id,))


def _still(now: datetime) -> str:
    """Return since when a head has to be taken to be so still."""
    return utc_text(now - FREED)
