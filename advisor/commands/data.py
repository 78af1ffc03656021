"""`advisor backup` and `advisor restore`: all data to a file, and back."""

import sys
from pathlib import Path

from ..store.file import backup
from ..store.file import restore as restoring
from ..store.file.faults import StoreFault


def back_up(folder: Path, file: Path) -> int:
    """Copy all data to a new file."""
    try:
        backup.back_up(folder, file)
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
        return 1
    print(f"All data of {folder} is in {file}. To put it back: advisor restore FILE")
    return 0


def restore(folder: Path, file: Path) -> int:
    """Put a backup in the place of the data."""
    try:
        aside = restoring.restore(folder, file)
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
        return 1
    print(f"The data in {folder} is that of {file}. Every phone has to join again.")
    if aside:
        print(f"What was there is kept in {aside}")
    return 0
