"""The phones that joined: by the hash of the token that each keeps, with a name and a role.

A phone that was revoked stays on record, and is known by its token no more. So do programs, by the hash of
their key.
"""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from ...model import Refused
from ...model.basis.problems import short
from ..file.database import Database, utc_now
from ..file.faults import NotFound
from ..tables.rows import one_row

ROLES = ("change", "meter", "look")
"""May change everything; may confirm and meter; may look. These are given, and taken away again."""
HOST = "host"
"""May do what the person at the laptop may. A phone joins so, or never: it is not given on a page."""
LONGEST_NAME = 40
"""Of a person, as the record shows it. [characters]"""


@dataclass(frozen=True, slots=True)
class StoredPhone:
    """A phone with the name of its person; times are ISO 8601 in UTC, `revoked_at` None while it may ask."""

    id: int
    name: str
    role: str
    joined_at: str
    revoked_at: str | None
    program: bool = False
    """Whether it is a program with a key, and no phone that joined."""


class PhoneStore:
    """The phones in `db`. May be called from any thread; only one PhoneStore may write to a file.

    Every request asks who it is from, so what is known by token is kept in memory.
    """

    def __init__(self, db: Database) -> None:
        self._db = db
        # Held over each write and over each reading of the table: who was revoked cannot come back by a
        # reading that began before.
        self._lock = threading.Lock()
        self._known: dict[str, StoredPhone] | None = None

    def join(self, token_hash: str, name: str, role: str, *, program: bool = False) -> int:
        """Keep a phone or a program, and return its id; raises Refused for an impossible name or role."""
        name, role = _name(name), role if role == HOST else _role(role)
        with self._write() as conn:
            cursor = conn.execute(
                "INSERT INTO phones (token_hash, name, role, joined_at, program) VALUES (?, ?, ?, ?, ?)",
                (token_hash, name, role, utc_now(), int(program)),
            )
            return int(cursor.lastrowid or 0)

    def by_token(self, token_hash: str) -> StoredPhone | None:
        """Return the phone that keeps this token; None where none does, or it was revoked."""
        known = self._known
        if known is None:
            with self._lock:
                if self._known is None:
                    self._known = self._load()
                known = self._known
        return known.get(token_hash)

    def all(self) -> list[StoredPhone]:
        """Return every phone that ever joined, in that order."""
        with self._db.read() as conn:
            return [_phone(row) for row in conn.execute("SELECT * FROM phones ORDER BY id")]

    def revoke(self, phone_id: int) -> None:
        """Know a phone by its token no more; once revoked it stays so. Raises NotFound."""
        with self._write() as conn:
            one_row(conn, "SELECT id FROM phones WHERE id = ?", "phone", phone_id)
            conn.execute(
                "UPDATE phones SET revoked_at = ? WHERE id = ? AND revoked_at IS NULL", (utc_now(), phone_id)
            )

    def change_role(self, phone_id: int, role: str) -> None:
        """Let a phone do more or less from now on; raises NotFound, also of a revoked one; and Refused."""
        role = _role(role)
        with self._write() as conn:
            _require(conn, phone_id)
            conn.execute("UPDATE phones SET role = ? WHERE id = ?", (role, phone_id))

    def rename(self, phone_id: int, name: str) -> None:
        """Give a phone's person another name; raises NotFound, also of a revoked one; and Refused."""
        name = _name(name)
        with self._write() as conn:
            _require(conn, phone_id)
            conn.execute("UPDATE phones SET name = ? WHERE id = ?", (name, phone_id))

    @contextmanager
    def _write(self) -> Iterator[sqlite3.Connection]:
        with self._lock:
            try:
                with self._db.write() as conn:
                    yield conn
            finally:
                self._known = None

    def _load(self) -> dict[str, StoredPhone]:
        with self._db.read() as conn:
            found = conn.execute("SELECT * FROM phones WHERE revoked_at IS NULL")
            return {row["token_hash"]: _phone(row) for row in found}


def _phone(row: sqlite3.Row) -> StoredPhone:
    return StoredPhone(
        row["id"], row["name"], row["role"], row["joined_at"], row["revoked_at"], row["program"] == 1
    )


def _require(conn: sqlite3.Connection, phone_id: int) -> None:
    row = one_row(conn, "SELECT revoked_at FROM phones WHERE id = ?", "phone", phone_id)
    if row["revoked_at"] is not None:
        raise NotFound("phone", phone_id, deleted=True)


def _name(name: str) -> str:
    clean = " ".join("".join(c if c.isprintable() else " " for c in name).split())
    if not clean:
        raise Refused.one("name", "there is no name", "the name by which the crew knows the person")
    if len(clean) > LONGEST_NAME:
        raise Refused.one("name", f"{short(clean)} is too long", f"at most {LONGEST_NAME} characters")
    return clean


def _role(role: str) -> str:
    if role not in ROLES:
        raise Refused.one("role", f"{short(role)} is not a role", ", ".join(ROLES))
    return role
