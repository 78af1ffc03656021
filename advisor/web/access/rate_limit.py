"""How often a typed join code may be wrong: 5 times a minute from one address, 100 times an hour in all.

A stranger can use up both. So the code in the QR, which has 128 bits and is not worth guessing, is looked at
whatever the limits say: nobody can lock the crew out. A renewed code starts from nought, since what was tried
before says nothing about it. 100 tries an hour at 40 bits: one chance in a million
takes more than a year.
"""

import math
import threading
import time
from collections import deque
from collections.abc import Callable

A_MINUTE = 5
"""Wrong codes from one address within a minute."""
AN_HOUR = 100
"""Wrong codes from all addresses within an hour."""
_MINUTE, _HOUR = 60.0, 3600.0


class Rates:
    """The tries so far, in memory; `clock` tells seconds that only ever go forward."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        # Never more than AN_HOUR entries, so neither time nor addresses can fill the memory.
        self._tries: deque[tuple[float, str]] = deque()

    def admit(self, address: str) -> int:
        """Count a try and return 0; or return how long the address has to wait. [s]"""
        with self._lock:
            now = self._tidy()
            if wait := self._wait(now, address):
                return wait
            self._tries.append((now, address))
            return 0

    def forgive(self, address: str) -> None:
        """Take back the last try of an address: its code was right."""
        with self._lock:
            mine = [i for i, (_, whose) in enumerate(self._tries) if whose == address]
            if mine:
                del self._tries[mine[-1]]

    def forget(self) -> None:
        """Begin with a clean sheet: the code is a new one."""
        with self._lock:
            self._tries.clear()

    def closed(self) -> int:
        """Return how long no typed code is looked at, from whichever address. [s]"""
        with self._lock:
            return self._wait(self._tidy(), None)

    def _tidy(self) -> float:
        now = self._clock()
        while self._tries and self._tries[0][0] <= now - _HOUR:
            self._tries.popleft()
        return now

    def _wait(self, now: float, address: str | None) -> int:
        mine = [at for at, whose in self._tries if whose == address and at > now - _MINUTE]
        waits = [mine[0] + _MINUTE - now] if len(mine) >= A_MINUTE else []
        if len(self._tries) >= AN_HOUR:
            waits.append(self._tries[0][0] + _HOUR - now)
        return math.ceil(max(waits, default=0.0))
