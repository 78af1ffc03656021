"""What backups, restores and migrations that were killed left in the data folder, cleared away at a start.

Each makes its file under a name of its own, which then takes the place of what it is for. One that is there
at a start belongs to nobody: only who holds the folder makes them.
"""

import logging
import re
from pathlib import Path

from .backup import DRAFT, FOLDER
from .database import FILE_NAME

_ENDS = r"(-wal|-shm|-journal)?"
_IN_DATA = re.compile(
    rf"{re.escape(FILE_NAME)}\.(restored|before-[^/]*\.backup\.part){_ENDS}|secrets\.json\.part", re.ASCII
)
_IN_BACKUPS = re.compile(rf"{re.escape(DRAFT)}{_ENDS}", re.ASCII)
_log = logging.getLogger(__name__)


def clear(folder: Path) -> int:
    """Delete what was left in `folder`, which the caller holds, and return how many files; tell the log.

    A file that cannot be deleted stays: it is in nobody's way.
    """
    found = _found(folder, _IN_DATA) + _found(folder / FOLDER, _IN_BACKUPS)
    gone = stay = 0
    for file in found:
        try:
            file.unlink(missing_ok=True)
            gone += 1
        except OSError:
            stay += 1
    if gone:
        _log.info("%d files of backups, restores or migrations that were cut short were cleared away", gone)
    if stay:
        _log.warning("%d files that were left by a kill cannot be deleted from %s", stay, folder)
    return gone


def _found(folder: Path, name: re.Pattern[str]) -> list[Path]:
    try:
        return sorted(file for file in folder.iterdir() if name.fullmatch(file.name))
    except OSError:  # none yet
        return []
