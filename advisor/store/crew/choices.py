"""What a crew chooses once for all its sets, by key: the sizes that gel comes in, for one."""

from types import EllipsisType

from ..file.database import Database, utc_now
from ..tables.records import Conflict


class ChoiceStore:
    """Texts by key in `db`; what a text means is for its reader. `who` writes: a name that a person gave."""

    def __init__(self, db: Database, who: str = "") -> None:
        self._db = db
        self._who = who

    def by(self, who: str) -> "ChoiceStore":
        """Return the same texts as somebody writes them."""
        return ChoiceStore(self._db, who)

    def chosen(self, key: str) -> tuple[str, str]:
        """Return who chose last under `key`, and when; empty where nobody did, or said."""
        with self._db.read() as conn:
            row = conn.execute("SELECT who, changed_at FROM choices WHERE key = ?", (key,)).fetchone()
        return ("", "") if row is None else (row["who"], row["changed_at"])

    def load(self, key: str) -> str | None:
        """Return the text kept under `key`; None where there is none."""
        with self._db.read() as conn:
            row = conn.execute("SELECT value FROM choices WHERE key = ?", (key,)).fetchone()
        return None if row is None else str(row["value"])

    def save(self, key: str, value: str, was: str | EllipsisType | None = ...) -> None:
        """Keep a text under `key`, in place of what was there.

        `was` is what the writer saw there, None for nothing; raises Conflict with what is there now where
        that is another text. Left out, nothing is checked.
        """
        with self._db.write() as conn:
            if was is not ...:
                row = conn.execute("SELECT value FROM choices WHERE key = ?", (key,)).fetchone()
                present = None if row is None else str(row["value"])
                if present != was:
                    raise Conflict(present)
            conn.execute(
                """INSERT INTO choices (key, value, changed_at, who) VALUES (?, ?, ?, ?)
                   ON CONFLICT (key) DO UPDATE SET
                   value = excluded.value, changed_at = excluded.changed_at, who = excluded.who""",
                (key, value, utc_now(), self._who),
            )
