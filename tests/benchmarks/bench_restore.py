"""A restore that is killed at every call of the system: the old data or the new are there, whole (Linux).

Run by hand: ``python tests/benchmarks/bench_restore.py``. A restore runs under ptrace(2), which stops it as
it enters each call; at one of them it is killed, before that is done, and what is left is opened as at any
start. Prints how many kills there were, and what of the old and the new data each left.
"""

import ctypes
import os
import shutil
import signal
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.store.file import restore
from tests.benchmarks.short import pick
from tests.store.restored import NEW, OLD, left_by_a_kill, sets_after_a_start

EACH = pick(1, 60)
"""A whole run kills at every call, a short one at one of so many."""
_TRACE_ME, _GO_ON_TO_CALL, _OPTIONS = 0, 24, 0x4200
_MARK_CALLS, _END_WITH_US = 0x1, 0x100000
_LIBC = ctypes.CDLL(None, use_errno=True)
_LIBC.ptrace.argtypes = (ctypes.c_long, ctypes.c_long, ctypes.c_void_p, ctypes.c_void_p)
_LIBC.ptrace.restype = ctypes.c_long


def killed_at(folder: Path, saved: Path, number: int) -> bool:
    """Restore a backup, and kill that as it enters the call of this number; return whether it got so far."""
    child = os.fork()
    if child == 0:
        ended = 1
        try:
            _ptrace(_TRACE_ME, 0)
            os.kill(os.getpid(), signal.SIGSTOP)
            restore.restore(folder, saved)
            ended = 0
        finally:
            os._exit(ended)
    _, status = os.waitpid(child, 0)
    if not os.WIFSTOPPED(status):
        raise PermissionError("ptrace is not allowed here")
    _ptrace(_OPTIONS, child, _MARK_CALLS | _END_WITH_US)
    stops, passed_on = 0, 0
    while True:
        _ptrace(_GO_ON_TO_CALL, child, passed_on)
        _, status = os.waitpid(child, 0)
        if not os.WIFSTOPPED(status):
            assert os.waitstatus_to_exitcode(status) == 0, status
            return False
        at_call = os.WSTOPSIG(status) == signal.SIGTRAP | 0x80
        passed_on = 0 if at_call else os.WSTOPSIG(status)
        stops += at_call  # as it enters each, and as it leaves it
        if stops == 2 * number - 1:
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return True


def _ptrace(request: int, process: int, data: int = 0) -> None:
    if _LIBC.ptrace(request, process, None, data) < 0:
        raise OSError(ctypes.get_errno(), "ptrace")


def main() -> int:
    if not sys.platform.startswith("linux"):
        print("0 neither old nor new, or not in order: only Linux has ptrace")
        return 0
    with tempfile.TemporaryDirectory() as below:
        folder, saved = left_by_a_kill(Path(below))
        seen, number, goes_on = list[list[str]](), 1, True
        while goes_on:
            place = Path(below) / f"{number}"
            shutil.copytree(folder, place)
            goes_on = killed_at(place, saved, number)
            seen.append(sets_after_a_start(place))
            shutil.rmtree(place)
            number += EACH
    turn = seen.index(NEW)
    wrong = sum(names != (OLD if k < turn else NEW) for k, names in enumerate(seen))
    print(f"{len(seen) - 1} kills, of which {len(seen) - 1 - turn} left the new data")
    print(f"{wrong} neither old nor new, or not in order")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
