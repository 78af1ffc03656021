"""Restores a backup, and is killed before a given line of that: a step of any module that takes part.

A process that has everything loaded makes a copy of itself for every line "go DATA FILE NUMBER" that it
reads. Then "ended STATUS" says how the copy ended: 0 where the restore has no line of that number.
"""

import os
import signal
import sys
from pathlib import Path
from types import FrameType
from typing import Any

from advisor.store.file import backup, database, lock, migrate, restore

FILES = {module.__file__ for module in (backup, database, lock, migrate, restore)}


def work(folder: Path, file: Path, number: int) -> None:
    """Restore, until line `number` of the modules that take part is about to run."""
    lines = 0

    def trace(frame: FrameType, event: str, _: Any) -> Any:
        nonlocal lines
        if frame.f_code.co_filename not in FILES:
            return None
        if event == "line":
            lines += 1
            if lines == number:
                os.kill(os.getpid(), signal.SIGKILL)
        return trace

    sys.settrace(trace)
    restore.restore(folder, file)
    sys.settrace(None)


if __name__ == "__main__":
    for line in sys.stdin:
        _, data, saved, at = line.split()
        child = os.fork()
        if child == 0:
            work(Path(data), Path(saved), int(at))
            os._exit(0)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        os.write(1, f"ended {status}\n".encode())
