"""Where writes led that bear a key (`once`), so that those that are sent again are led there too."""

from datetime import UTC, datetime, timedelta

from ...model.basis.base import utc_text
from ..file.database import Database

KEPT = timedelta(days=7)
"""How long a key is remembered: far longer than a phone's page stays open without a link."""


def set_answer(db: Database, key: str, answer: str) -> None:
    """Remember where the write that bears `key` led; nothing happens where no write kept the key."""
    with db.write(keyed=False) as conn:
        conn.execute("UPDATE once SET answer = ? WHERE key = ?", (answer, key))


def answer_of(db: Database, key: str) -> str | None:
    """Return where the write that bears `key` led, empty where that was not remembered; None if none does."""
    with db.read() as conn:
        row = conn.execute("SELECT answer FROM once WHERE key = ?", (key,)).fetchone()
    return None if row is None else str(row["answer"])


def prune(db: Database) -> int:
    """Forget the keys that are older than `KEPT`, and return how many there were."""
    with db.write() as conn:
        before = utc_text(datetime.now(UTC) - KEPT)
        return conn.execute("DELETE FROM once WHERE at < ?", (before,)).rowcount
