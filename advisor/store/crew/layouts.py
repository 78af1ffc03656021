"""What people said about tables that they pasted, by the headings of the table: to be proposed next time."""

import json
from collections.abc import Mapping, Sequence

from ..file.database import Database, utc_now

MOST_LAYOUTS = 200
"""Of more layouts, those that were not pasted for longest are forgotten."""
_LONGEST_KEY = 20_000
"""Headings that are longer are not kept. [sign]"""


class LayoutStore:
    """Answers by the headings of a layout, in `db`; `who` writes: a name that a person gave."""

    def __init__(self, db: Database, who: str = "") -> None:
        self._db = db
        self._who = who

    def by(self, who: str) -> "LayoutStore":
        """Return the same layouts as somebody writes them."""
        return LayoutStore(self._db, who)

    def load(self, headings: Sequence[str]) -> dict[str, str]:
        """Return what was said about a table with these headings, by key; empty where nothing was."""
        with self._db.read() as conn:
            row = conn.execute("SELECT answers FROM layouts WHERE headings = ?", (_key(headings),)).fetchone()
        found = {} if row is None else json.loads(row["answers"])
        return {str(key): str(value) for key, value in found.items()}

    def save(self, headings: Sequence[str], answers: Mapping[str, str]) -> None:
        """Keep what was said about a table with these headings; with no `answers`, forget it."""
        key = _key(headings)
        if not headings or len(key) > _LONGEST_KEY:
            return
        with self._db.write() as conn:
            conn.execute("DELETE FROM layouts WHERE headings = ?", (key,))
            if not answers:
                return
            said = json.dumps(dict(answers), ensure_ascii=False, sort_keys=True)
            conn.execute(
                "INSERT INTO layouts (headings, answers, changed_at, who) VALUES (?, ?, ?, ?)",
                (key, said, utc_now(), self._who),
            )
            conn.execute(
                """DELETE FROM layouts WHERE headings NOT IN
                   (SELECT headings FROM layouts ORDER BY changed_at DESC, rowid DESC LIMIT ?)""",
                (MOST_LAYOUTS,),
            )


def _key(headings: Sequence[str]) -> str:
    return json.dumps(list(headings), ensure_ascii=False)
