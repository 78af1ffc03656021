"""What was worked out before, kept by what it follows from, so that only what changed is worked out again."""

from collections import Counter, OrderedDict, deque
from collections.abc import Callable, Collection, Hashable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from threading import Lock
from typing import Any, NamedTuple, TypeVar

from .watch import go_on, tell

T = TypeVar("T")
_LOT = 8
"""So many are made at one go."""
_ROUNDS = 8
"""What none of so many last rounds of a thing asked for goes: a crew takes back its last few steps."""
_THINGS = 16
"""Of so many things the rounds are known; all of the one that nobody asked for the longest goes first."""


class TooMuchMissing(Exception):
    """More is missing than may be made here: see `Kept.at_most`."""


class Kept:
    """Results by their keys, at most `most`; the one that nobody asked for the longest goes first.

    A key holds all that its result follows from: values as text, and arrays by the object that holds them.
    Many threads may use it: two that ask for the same at once both work it out. What is asked for in rounds,
    such as of one set each, goes sooner: see `take`.
    """

    def __init__(self, most: int = 4096) -> None:
        self._most = most
        self._results: OrderedDict[Hashable, Any] = OrderedDict()
        self._rounds: OrderedDict[Hashable, deque[Collection[Hashable]]] = OrderedDict()
        self._in_rounds: Counter[Hashable] = Counter()
        self._lock = Lock()

    def __len__(self) -> int:
        return len(self._results)

    def of(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return the result of a key, made where it is not there."""
        return self.of_all([key], lambda _: [make()])[0]

    def of_all(
        self, keys: Sequence[Hashable], make: Callable[[list[int]], list[T]], *, told: bool = False
    ) -> list[T]:
        """Return the results of keys; `make` makes those that are missing, some at one go, by their indices.

        Each lot is kept as soon as it is there. Whoever watches may stop between two; with `told` they hear
        how much is done.
        """
        with self._lock:
            found = [self._results.get(key, _MISSING) for key in keys]
        missing = [index for index, result in enumerate(found) if result is _MISSING]
        if (limit := _limit.get()) is not None and limit.of is self and len(missing) > limit.most:
            raise TooMuchMissing
        for start in range(0, len(missing), _LOT):
            go_on()
            if told:
                tell((len(keys) - len(missing) + start) / len(keys))
            lot = missing[start : start + _LOT]
            made = make(lot)
            for index, result in zip(lot, made, strict=True):
                found[index] = result
            self._keep([keys[index] for index in lot], made)
        self._keep(keys, found)
        if (note := _note.get()) is not None and note.of is self:
            note.results.update(zip(keys, found, strict=True))
        return found

    @contextmanager
    def at_most(self, count: int) -> Iterator[None]:
        """End what is worked out inside by TooMuchMissing before more than `count` are made at one go."""
        token = _limit.set(_Limit(self, count))
        try:
            yield
        finally:
            _limit.reset(token)

    @contextmanager
    def noted(self) -> Iterator[Mapping[Hashable, Any]]:
        """Note what is asked for inside, for this or another process to `take`."""
        note = _Note(self, {})
        token = _note.set(note)
        try:
            yield note.results
        finally:
            _note.reset(token)

    def take(self, noted: Mapping[Hashable, Any], of: Hashable) -> None:
        """Keep what was noted, here or in another process, as the newest round `of` a thing.

        What only older rounds asked for goes: the states of a source before its last few are never asked for
        again, and a crew that meters all day makes thousands of them.
        """
        self._keep(list(noted), list(noted.values()))
        with self._lock:
            rounds = self._rounds.setdefault(of, deque())
            self._rounds.move_to_end(of)
            rounds.append(tuple(noted))
            self._in_rounds.update(rounds[-1])
            while len(rounds) > _ROUNDS:
                self._end(rounds.popleft())
            while len(self._rounds) > _THINGS:
                for oldest in self._rounds.popitem(last=False)[1]:
                    self._end(oldest)

    def _end(self, keys: Collection[Hashable]) -> None:
        for key in keys:
            self._in_rounds[key] -= 1
            if not self._in_rounds[key]:
                del self._in_rounds[key]
                self._results.pop(key, None)

    def _keep(self, keys: Sequence[Hashable], results: Sequence[T]) -> None:
        with self._lock:
            for key, result in zip(keys, results, strict=True):
                self._results[key] = result
                self._results.move_to_end(key)
            while len(self._results) > self._most:
                self._results.popitem(last=False)


class _Limit(NamedTuple):
    of: Kept
    most: int


class _Note(NamedTuple):
    of: Kept
    results: dict[Hashable, Any]


_limit: ContextVar[_Limit | None] = ContextVar("limit", default=None)
_note: ContextVar[_Note | None] = ContextVar("note", default=None)
_MISSING = object()
