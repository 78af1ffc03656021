"""Long work in processes of its own: what a thread works out keeps all other threads from the interpreter.

A process is started when it is first needed, does one thing after another, and ends where nothing came for a
while, or where it became large: so its memory goes back. Work that is not wanted any more is told so; what
does not listen is ended with its process.
"""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from ...advice.stacks.watch import NotWanted, watched
from ..memory import few_arenas, give_back_now

MOST = 2
"""Processes at a time."""
IDLE = 600.0
"""How long a process waits for further work. [s]"""
LARGE = 220
"""A process that holds more than that after its work ends. [MB]"""
_LISTENS = 1.0
"""How long work that is not wanted any more may take to notice. [s]"""
_LOOK = 0.05
"""How often it is looked whether work is still wanted. [s]"""
_KINDER = 5
"""So much lower is its priority (nice(2)): the server's own threads come first."""


class TooLong(Exception):
    """The work took longer than it may, and was ended."""


class Died(Exception):
    """The process ended before its work did: the system took it, perhaps for its memory."""


@dataclass(frozen=True)
class _Task:
    """What `Processes.do` is asked for."""

    function: Callable[..., Any]
    arguments: tuple[Any, ...]
    tell: Callable[[float], None]
    unwanted: Callable[[], bool]
    longest: float


class Processes:
    """Processes for long work; any thread may ask."""

    def __init__(self, most: int = MOST) -> None:
        self._turns = threading.Semaphore(most)
        self._lock = threading.Lock()
        self._idle: list[_Process] = []
        self._closed = False

    def do(
        self,
        function: Callable[..., Any],
        arguments: Sequence[Any],
        tell: Callable[[float], None],
        unwanted: Callable[[], bool],
        longest: float = float("inf"),
    ) -> Any:
        """Return what a function of a module returns; raise what it raises.

        Raises NotWanted once `unwanted` says so, TooLong after `longest` [s], Died where its process ended.
        """
        task = _Task(function, tuple(arguments), tell, unwanted, longest)
        with self._turns:
            while True:
                process = self._take()
                try:
                    return process.do(task)
                except Died:
                    if not process.had_waited_too_long:
                        raise
                finally:
                    self._give_back(process)

    def close(self) -> None:
        """End the processes that wait for work."""
        with self._lock:
            self._closed = True
            idle, self._idle = self._idle, []
        for process in idle:
            process.end()

    def _take(self) -> "_Process":
        with self._lock:
            while self._idle:
                process = self._idle.pop()
                if process.waits:
                    return process
                process.end()
        return _Process()

    def _give_back(self, process: "_Process") -> None:
        with self._lock:
            if process.waits and not self._closed:
                self._idle.append(process)
                return
        process.end()


class _Process:
    """One process, and the link to it."""

    def __init__(self) -> None:
        # Not forked: a copy of a process with threads may hold a lock that nobody gives back.
        context = get_context("spawn")
        self._link, theirs = context.Pipe()
        self._process = context.Process(target=_work, args=(theirs,), daemon=True, name="long work")
        self._process.start()
        theirs.close()
        self._busy, self._done = False, 0

    @property
    def waits(self) -> bool:
        """Whether it lives, and has nothing to do."""
        return not self._busy and self._process.is_alive()

    @property
    def had_waited_too_long(self) -> bool:
        """Whether it ended by itself just when further work came."""
        self._process.join(_LISTENS)
        return self._done > 0 and self._process.exitcode == 0

    def do(self, task: _Task) -> Any:
        """Do one work; see `Processes.do`."""
        self._busy = True
        latest = time.monotonic() + task.longest
        try:
            self._link.send((task.function, task.arguments))
            while not task.unwanted():
                if self._link.poll(_LOOK):
                    what, said, stays = self._link.recv()
                    if what != "share":
                        self._busy, self._done = not stays, self._done + 1
                        break
                    task.tell(said)
                elif time.monotonic() > latest:
                    raise TooLong
            else:
                self._link.send("stop")
                self._until_heard()
                raise NotWanted
        except (EOFError, OSError):
            raise Died from None
        if what == "failed":
            raise said
        return said

    def _until_heard(self) -> None:
        """Wait a moment for work that is to stop; one that does not is ended with its process."""
        latest = time.monotonic() + _LISTENS
        while (left := latest - time.monotonic()) > 0 and self._link.poll(left):
            what, _, stays = self._link.recv()
            if what != "share":
                self._busy = not stays
                return

    def end(self) -> None:
        """End it, whatever it does."""
        self._link.close()
        self._process.kill()
        self._process.join()
        self._process.close()


def _work(link: Connection) -> None:
    """Do what comes, until nothing does."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is for the server, which ends this
    with suppress(AttributeError, OSError):
        os.nice(_KINDER)
    few_arenas()
    with suppress(EOFError, OSError):
        while link.poll(IDLE):
            asked = link.recv()
            if asked is None:
                return
            if asked == "stop":  # it came when the work had just ended
                continue
            answer = _answer(link, *asked)
            del asked
            stays = _held() <= LARGE
            try:
                link.send((*answer, stays))
            except (TypeError, AttributeError, ValueError) as error:  # what cannot be sent
                link.send(("failed", RuntimeError(f"{type(error).__name__}: {error}"), stays))
            if not stays:
                return
            del answer
            give_back_now()


def _answer(link: Connection, function: Callable[..., Any], arguments: tuple[Any, ...]) -> tuple[str, Any]:
    def unwanted() -> bool:
        return link.poll()  # nothing else comes before the answer

    try:
        with watched(lambda share: link.send(("share", share, True)), unwanted):
            return "done", function(*arguments)
    except Exception as error:  # whatever it is, it is raised where the work was asked for
        return "failed", error


def _held() -> int:
    """Return the memory that this process holds [MB]; 0 where the system does not say."""
    if not sys.platform.startswith("linux"):
        return 0
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") // 1_000_000
