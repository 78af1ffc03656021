"""Work that takes longer than a page may: done in a thread, asked after by its number, and stopped at once.

A job's number follows from its content, so that phones that ask the same share one job and its result. A
job that was stopped stays so until somebody begins it again: no page that merely looks brings it back.
"""

import threading
import time
from collections.abc import Callable, Hashable
from enum import StrEnum
from typing import Generic, TypeVar

from ..memory import give_back_now

T = TypeVar("T")
AT_ONCE = 2
"""Jobs that run at a time; the others wait their turn."""
KEPT = 600.0
"""How long a job that ended is remembered. [s]"""
MOST_KEPT = 6
"""Most jobs that ended and are remembered: the plan of 200 sources takes 20 MB."""
MOST_OF_ONE = 8
"""Most jobs of one owner that run or wait at a time."""
_LOOK = 0.05
"""How often a job that waits for its turn looks whether it is still wanted. [s]"""


class JobState(StrEnum):
    """How a job stands."""

    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    STOPPED = "stopped"


class TooMany(Exception):
    """An owner has as many jobs as it may."""


class Job(Generic[T]):
    """A piece of work; `share` says how much of it is done, 0 to 1; `of` is the thing that it is done for."""

    def __init__(self, number: str = "", owner: str = "", of: Hashable = None) -> None:
        self.number, self.owner, self.of = number, owner, of
        self.state = JobState.RUNNING
        self.share = 0.0
        self.result: T | None = None
        self.error: Exception | None = None
        self.ended_at = 0.0
        self._unwanted = threading.Event()
        self._ended = threading.Event()

    @property
    def running(self) -> bool:
        """Whether it has not ended yet: it waits its turn, or runs."""
        return self.state is JobState.RUNNING

    @property
    def percent(self) -> int:
        """How much is done, never 100 before the end."""
        return min(int(100 * self.share), 99)

    def wait(self, seconds: float | None) -> None:
        """Wait until the job has ended, but no longer than `seconds`, if there are any."""
        self._ended.wait(seconds)

    def unwanted(self) -> bool:
        """Whether somebody stopped the job."""
        return self._unwanted.is_set()

    def tell(self, share: float) -> None:
        """Say how much is done. What is told never goes back, as where a part of it begins to count anew."""
        self.share = max(self.share, share)


Work = Callable[[Callable[[float], None], Callable[[], bool]], T]
"""What a job does: it is given whom to tell the share that is done, and whom to ask whether to stop.

Told to stop, it ends soon, by raising whatever it likes.
"""


class Jobs(Generic[T]):
    """The jobs of one kind."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._jobs: dict[str, Job[T]] = {}
        self._lock = threading.Lock()
        self._turns = threading.Semaphore(AT_ONCE)
        self._busy: set[str] = set()

    def ask(
        self,
        number: str,
        work: Work[T],
        *,
        again: bool = False,
        patience: float = 0.0,
        owner: str = "",
        of: Hashable = None,
    ) -> Job[T]:
        """Return the job, begun now where there is none; `again` begins anew one that was stopped or failed.

        Of one thing (`of`, where there is one) one job runs at a time: where another does, that is returned.

        Of one `owner` only one job runs at a time, where that is named; raises TooMany where too many wait.
        Whoever begins a job waits for its end up to `patience` [s]; nobody else does.
        """
        with self._lock:
            self._tidy()
            job = self._jobs.get(number)
            if job is not None and not (again and job.state in (JobState.STOPPED, JobState.FAILED)):
                return job
            if of is not None and (other := self._running(of)):
                return other
            if owner and sum(1 for j in self._jobs.values() if j.owner == owner and j.running) >= MOST_OF_ONE:
                raise TooMany
            job = self._jobs[number] = Job(number, owner, of)
        arguments = (job, work, owner)
        threading.Thread(target=self._run, args=arguments, daemon=True, name=f"job {number}").start()
        job.wait(patience)
        return job

    def look(self, number: str) -> Job[T] | None:
        """Return a job, if it is still known."""
        with self._lock:
            return self._jobs.get(number)

    def forget(self, number: str) -> None:
        """Forget a job that ended, so that whoever asks next begins it anew."""
        with self._lock:
            job = self._jobs.get(number)
            if job is not None and job.state is not JobState.RUNNING:
                del self._jobs[number]

    def stop(self, number: str) -> None:
        """Stop a job that runs; one that ended, or is not known, stays as it is."""
        with self._lock:
            job = self._jobs.get(number)
            if job is not None and job.state is JobState.RUNNING:
                job._unwanted.set()
                self._end(job, JobState.STOPPED)

    def _running(self, of: Hashable) -> Job[T] | None:
        return next((job for job in self._jobs.values() if job.of == of and job.running), None)

    def _run(self, job: Job[T], work: Work[T], owner: str) -> None:
        while not self._turn(owner):
            if job.unwanted():
                return
        try:
            if job.unwanted():
                return
            result = work(job.tell, job.unwanted)
        except Exception as error:  # whatever it is, it is told to those who look
            with self._lock:
                if job.state is JobState.RUNNING:
                    job.error = error
                    self._end(job, JobState.FAILED)
        else:
            with self._lock:
                if job.state is JobState.RUNNING:
                    job.result = result
                    self._end(job, JobState.DONE)
        finally:
            with self._lock:
                self._busy.discard(owner)
            self._turns.release()
            give_back_now()  # such work leaves much

    def _turn(self, owner: str) -> bool:
        """Take a turn for an owner, whose last job has ended; return whether there was one."""
        with self._lock:
            if owner in self._busy:
                free = False
            else:
                free = True
                self._busy |= {owner} if owner else set()
        if free and self._turns.acquire(timeout=_LOOK):
            return True
        if free:
            with self._lock:
                self._busy.discard(owner)
        else:
            time.sleep(_LOOK)
        return False

    def _end(self, job: Job[T], state: JobState) -> None:
        job.state, job.ended_at = state, self._clock()
        job._ended.set()

    def _tidy(self) -> None:
        """Drop what ended long ago, and the oldest of what is too much."""
        ended = sorted(
            (number for number, job in self._jobs.items() if job.state is not JobState.RUNNING),
            key=lambda number: self._jobs[number].ended_at,
        )
        old = self._clock() - KEPT
        for place, number in enumerate(ended):
            if self._jobs[number].ended_at <= old or place < len(ended) - MOST_KEPT:
                del self._jobs[number]
