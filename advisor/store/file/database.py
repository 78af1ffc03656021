"""One SQLite file: connections, transactions, and the one lock under which everything is written.

WAL with synchronous=FULL keeps the last commit through a power cut. One lock in the process, rather
than SQLite's own back-off, keeps writers from starving one another; and a checkpoint, which runs inside
a commit, then never meets another one.
"""

import os
import sqlite3
import threading
import weakref
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Self

from ...model.basis.base import utc_text
from . import once
from .faults import StoreFault, words_for
from .migrate import COMPANIONS, Migration, check_origin, migrate
from .migrations import MIGRATIONS

FILE_NAME = "advisor.sqlite"
"""Of the data file in the data folder."""
BUSY_TIMEOUT = 5.0
"""How long to wait for another process that holds the file. [s]"""


def utc_now() -> str:
    """Return the time as ISO 8601 in UTC, of fixed width, so that text sorts as time does."""
    return utc_text(datetime.now(UTC))


class Database:
    """The file at `path`, made (with its folder, readable by its owner only) where it is missing.

    Nothing is read or acknowledged once another file, or none, stands at `path` (`InPlace`).
    Safe to use from any thread: each has a connection of its own, closed when the thread ends. All are
    closed by `close`, and where nobody holds the database any more.
    Raises StoreFault if the file cannot be used, is not ours, or comes from a newer advisor.
    """

    def __init__(self, path: Path | str, migrations: Sequence[Migration] = MIGRATIONS) -> None:
        self.path = Path(path)
        self._lock = threading.Lock()
        self._local = threading.local()
        self._closers: list[weakref.finalize[Any, Any]] = []
        self._closed = False
        self.commits = 0
        """How many transactions that wrote were committed since the start: nothing changed while it stays."""
        self._make_file()
        with told(self.path):
            # Stays open as long as the database: SQLite checkpoints when the last connection closes,
            # and with this one there the end of a thread is never that moment.
            self._keeper = _connect(self.path)
            try:
                check_origin(self._keeper, self.path, migrations)
                self._keeper.execute("PRAGMA journal_mode = WAL")
                migrate(self._keeper, self.path, migrations, utc_now)
                _prepare(self._keeper)
                # The companions are there once something was read.
                self._keeper.execute("SELECT 1 FROM sqlite_schema").fetchone()
                self._in_place = InPlace(self.path)
            except BaseException:
                self._keeper.close()
                raise
        weakref.finalize(self, self._keeper.close)

    @property
    def in_transaction(self) -> bool:
        """Whether this thread is inside `read` or `write`."""
        return self._mine().in_transaction

    @contextmanager
    def read(self) -> Iterator[sqlite3.Connection]:
        """Give a connection that sees one state of the file throughout; inside `write`, that one's."""
        conn = self._mine()
        if conn.in_transaction:
            yield conn
            return
        with told(self.path, self._in_place.check):
            self._in_place.check()
            conn.execute("BEGIN")
            try:
                yield conn
            finally:
                _roll_back(conn)

    @contextmanager
    def write(self, *, keyed: bool = True) -> Iterator[sqlite3.Connection]:
        """Give a connection inside a transaction: all of it is kept, or after an exception none of it.

        Inside `once.once` the key is kept with it; raises AlreadyDone, and writes nothing, where it was kept
        before. What is not `keyed` is bookkeeping, for which no key stands.
        Raises StoreFault where the file is no longer the one that its path names: before anything is written,
        or after it, where that happened meanwhile.
        """
        conn = self._mine()
        if conn.in_transaction:
            raise RuntimeError("this thread is inside a transaction already")
        with self._lock, told(self.path, self._in_place.check):
            conn.execute("BEGIN IMMEDIATE")
            try:
                self._in_place.check()
                if keyed:
                    once.claim(conn, utc_now())
                yield conn
                self._in_place.check()  # a log that was cut short grows again with what is committed
                conn.execute("COMMIT")
                self.commits += 1
                if keyed:
                    once.claimed()
                self._in_place.check()
            except BaseException:
                _roll_back(conn)
                raise

    def close(self) -> None:
        """Close every connection; the file is then whole by itself, without its -wal companion."""
        with self._lock:
            self._closed = True
            for closer in self._closers:
                closer()
            self._keeper.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def _make_file(self) -> None:
        try:
            if not self.path.parent.is_dir():
                self.path.parent.mkdir(mode=0o700, parents=True)
            os.close(os.open(self.path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        except FileExistsError:
            if not self.path.parent.is_dir():
                raise self._no_folder("it is a file") from None
        except OSError as error:
            raise self._no_folder(error.strerror or str(error)) from error

    def _no_folder(self, why: str) -> StoreFault:
        return StoreFault(
            f"The data folder {self.path.parent} cannot be used: {why}. "
            "Give a folder that this user may write in with --data."
        )

    def _mine(self) -> sqlite3.Connection:
        """Return this thread's connection, opened on first use."""
        if self._closed:
            raise RuntimeError(f"{self.path} was closed")
        own: _Own | None = getattr(self._local, "own", None)
        if own is None:
            with told(self.path, self._in_place.check):
                self._in_place.check()  # SQLite would make an empty file where none is
                conn = _connect(self.path)
                try:
                    self._in_place.check()
                    _prepare(conn)
                except BaseException:
                    conn.close()
                    raise
            own = self._local.own = _Own(conn)
            with self._lock:
                self._closers = [c for c in self._closers if c.alive]
                self._closers.append(weakref.finalize(own, conn.close))
        return own.conn


class _Own:
    """Holds a thread's connection: it goes when the thread goes, and takes the connection along."""

    def __init__(self, conn: sqlite3.Connection) -> None:
        self.conn = conn


def _connect(path: Path) -> sqlite3.Connection:
    # Used by one thread only; check_same_thread is off so that close() may end it from another.
    conn = sqlite3.connect(path, timeout=BUSY_TIMEOUT, isolation_level=None, check_same_thread=False)
    conn.row_factory = sqlite3.Row
    return conn


def _prepare(conn: sqlite3.Connection) -> sqlite3.Connection:
    conn.execute("PRAGMA synchronous = FULL")
    conn.execute("PRAGMA foreign_keys = ON")
    return conn


def _roll_back(conn: sqlite3.Connection) -> None:
    # After a full disk SQLite has rolled back by itself.
    if conn.in_transaction:
        conn.execute("ROLLBACK")


@contextmanager
def told(path: Path, check: Callable[[], None] = lambda: None) -> Iterator[None]:
    """Turn an error of SQLite that a person can mend into StoreFault; let the others pass.

    `check` may know better what is wrong with the file, and raise StoreFault itself.
    """
    try:
        yield
    except sqlite3.Error as error:
        check()
        words = words_for(error, path)
        if words is None:
            raise
        raise StoreFault(words) from error


class InPlace:
    """Whether the files of an open database are still those that the folder names.

    A file that was deleted, or renamed, can be written on through the handles that are open, and nobody will
    find it. So nothing is read and nothing acknowledged where another file, or none, stands at its path. Safe
    to use from any thread.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        names = [path, *(path.with_name(path.name + end) for end in COMPANIONS[:2])]
        self._opened = {name: _who(os.stat(name)) for name in names if name.exists()}
        self._sizes = {name: os.stat(name).st_size for name in self._opened}

    def check(self) -> None:
        """Raise StoreFault, which says what to do, unless each is there, the same, and no shorter."""
        for name, who in self._opened.items():
            least = self._sizes[name]
            try:
                now = os.stat(name)
            except OSError:
                raise StoreFault(
                    f"{name} is no longer there: it, or its folder, was deleted or renamed while the advisor "
                    "runs. Nothing is saved until it is back. Put it back under that name; or stop the "
                    "advisor, and put the latest backup in its place with `advisor restore FILE`."
                ) from None
            if _who(now) != who:
                raise StoreFault(
                    f"Another file was put at {name} while the advisor runs. Nothing is saved until the one "
                    "from before is back. Put it back under that name; or stop the advisor, and start it "
                    "again to go on with what is there now."
                )
            if now.st_size < least:
                raise StoreFault(
                    f"{name} was cut short by another program while the advisor runs. Nothing is saved. Stop "
                    "the advisor, and put the latest backup in its place with `advisor restore FILE`."
                )
            # It never shrinks by itself: nothing here vacuums, and SQLite writes its log over from the start.
            self._sizes[name] = max(least, now.st_size)


def _who(stat: os.stat_result) -> tuple[int, int]:
    """Return what tells a file from every other on this machine."""
    return stat.st_dev, stat.st_ino
