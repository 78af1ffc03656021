"""Whether the files of an open database are still those that the folder names.

A file that was deleted, or renamed, can be written on through the handles that are open, and nobody will find
it. So nothing is read and nothing acknowledged where another file, or none, stands at its path.
"""

import os
from pathlib import Path

from .faults import StoreFault

COMPANIONS = ("-wal", "-shm", "-journal")
"""Files that SQLite may keep beside a database: its log, the index of that, and what rolls a write back."""


class InPlace:
    """The data file `path`, with its companions, as they stand now. Safe to use from any thread."""

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
