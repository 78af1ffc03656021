"""Scarce sheets shared out over several sources: the least worst miss, then the least total cost.

Exact as long as that does not take too long (`MOST_LOOKS`; then see `in_turn`), by three steps that never
give up a better solution:

1. *Stock only where it binds.* With no limit on stock, every source takes its best stack. If more of a gel is
   then taken than there is, the gel becomes scarce, and the problem is solved again with the stock of scarce
   gels only. If the solution happens to keep within the stock of all gels, it is the best of the full problem
   too.
2. *Few stacks of many.* Given what is left of the scarce gels, a source needs only these stacks: its best
   one; for each scarce gel in that, its best with fewer sheets of that gel; and so on. For any other stack,
   one of these is as good and uses no more of any scarce gel. To find it, start from the best. As long as it
   uses more of some gel than the other stack, go on to the best with fewer of that gel. The other stack still
   fits each time, and the number of sheets falls, so this ends.
3. *Source by source, best first.* A state is how many sources have chosen, and what is left. If each of the
   other sources could have all that is left, what they would get is a lower bound of what is to come. The
   state with the least bound is followed first (Hart, Nilsson and Raphael 1968). Once the others can all have
   what they would like, the bound is reached, and no other state can beat it.

The worst miss is found first, then the least cost among stacks that miss by no more.
"""

import heapq
import itertools
import math
import operator
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from .in_turn import in_turn
from .offers import SAME, Offer, Wish

Sheets = tuple[int, ...]
"""Sheets of each scarce gel, in the order of the scarce gels."""


MOST_LOOKS = 200_000
"""Most looks at what a source would take, before the sheets are shared out in turn; a new question counts for
its price. About four seconds."""


class Allocation(NamedTuple):
    """What each source gets, in their order, which gels were scarce, and whether it is surely the best."""

    options: list[Offer]
    scarce: tuple[int, ...]
    best: bool = True


class _TooLong(Exception):
    """The best allocation was not found within so many looks."""


class _Purse:
    """So many looks may still be spent."""

    def __init__(self, looks: int) -> None:
        self._left = looks

    def pay(self, looks: int) -> None:
        """Spend looks; raises _TooLong where there are none left."""
        self._left -= looks
        if self._left < 0:
            raise _TooLong


def allocate(wishes: Sequence[Wish], stock: Mapping[int, int], looks: int = MOST_LOOKS) -> Allocation:
    """Share out the sheets of `stock`, by gel; gels that it does not name are plenty.

    What is not found within so many `looks` is shared out in turn (`in_turn`). They are counted, not timed:
    the same request gets the same answer on any machine.
    """
    try:
        return _best(wishes, stock, _Purse(looks))
    except _TooLong:
        return Allocation(in_turn(wishes, stock), tuple(stock), best=False)


def _best(wishes: Sequence[Wish], stock: Mapping[int, int], purse: _Purse) -> Allocation:
    scarce: tuple[int, ...] = ()
    while True:
        left = tuple(stock[gel] for gel in scarce)
        prices = [wish.price for wish in wishes]
        nearest = _Table(scarce, [wish.nearest for wish in wishes], prices, purse)
        worst = max((o.miss for o in _Search(nearest, _miss, max).best(left)), default=0.0)
        asks = [partial(wish.cheapest, miss=worst + SAME) for wish in wishes]
        cheapest = _Table(scarce, asks, prices, purse)
        options = _Search(cheapest, _cost, operator.add).best(left)
        short = [g for g, n in stock.items() if sum(o.uses.get(g, 0) for o in options) > n]
        if not short:
            return Allocation(options, scarce)
        scarce += tuple(short)


def _miss(option: Offer) -> float:
    return option.miss


def _cost(option: Offer) -> float:
    return option.cost


class _Take(NamedTuple):
    """An option, and the scarce sheets that it uses."""

    option: Offer
    used: Sheets


class _Table:
    """What each source takes from what is left of the scarce gels; each answer is kept."""

    def __init__(
        self,
        scarce: tuple[int, ...],
        asks: Sequence[Callable[[Mapping[int, int]], Offer | None]],
        prices: Sequence[int],
        purse: _Purse,
    ) -> None:
        self._scarce, self._asks, self._prices, self._purse = scarce, asks, prices, purse
        self._known: list[dict[Sheets, _Take | None]] = [{} for _ in asks]

    def __len__(self) -> int:
        return len(self._asks)

    def take(self, source: int, left: Sheets) -> _Take | None:
        """Return what a source would take; None where nothing will do."""
        known = self._known[source]
        self._purse.pay(1)
        if left not in known:
            self._purse.pay(self._prices[source])
            option = self._asks[source](dict(zip(self._scarce, left, strict=True)))
            uses = option.uses if option else {}
            known[left] = option and _Take(option, tuple(uses.get(gel, 0) for gel in self._scarce))
        return known[left]

    def few(self, source: int, left: Sheets) -> Iterator[tuple[Offer, Sheets]]:
        """Yield the few options that a source needs (step 2), with what each leaves."""
        seen, waiting = {left}, [left]
        while waiting:
            most = waiting.pop()
            take = self.take(source, most)
            if take is None:
                continue
            yield take.option, tuple(n - u for n, u in zip(left, take.used, strict=True))
            for k, u in enumerate(take.used):
                fewer = (*most[:k], u - 1, *most[k + 1 :])
                if u and fewer not in seen:
                    seen.add(fewer)
                    waiting.append(fewer)


class _Search:
    """The best choices of all sources together (step 3), their values joined by a sum or a maximum."""

    def __init__(
        self, table: _Table, value: Callable[[Offer], float], join: Callable[[float, float], float]
    ) -> None:
        self._table, self._value, self._join = table, value, join

    def best(self, left: Sheets) -> list[Offer]:
        """Return the options of all sources, in their order, that use no more than what is left."""
        entered = itertools.count()
        waiting: list[tuple[float, int, int, float, Sheets, list[Offer]]] = []
        settled: dict[tuple[int, Sheets], float] = {}

        def enter(so_far: float, rest: Sheets, options: list[Offer]) -> None:
            bound = self._bound(so_far, len(options), rest)
            known = settled.get((len(options), rest), math.inf)
            if bound < math.inf and so_far < known:
                settled[len(options), rest] = so_far
                heapq.heappush(waiting, (bound, -len(options), next(entered), so_far, rest, options))

        enter(0.0, left, [])
        while True:
            _, _, _, so_far, rest, options = heapq.heappop(waiting)
            wished = self._all_that_is_wished(len(options), rest)
            if wished is not None:
                return options + wished
            for option, after in self._table.few(len(options), rest):
                enter(self._join(so_far, self._value(option)), after, [*options, option])

    def _bound(self, so_far: float, source: int, rest: Sheets) -> float:
        """Return a lower bound of what a state leads to: as if each other source had all that is left."""
        for i in range(source, len(self._table)):
            take = self._table.take(i, rest)
            if take is None:
                return math.inf
            so_far = self._join(so_far, self._value(take.option))
        return so_far

    def _all_that_is_wished(self, source: int, rest: Sheets) -> list[Offer] | None:
        """Return what the sources from `source` on would like, if there is enough for that."""
        takes = [self._table.take(i, rest) for i in range(source, len(self._table))]
        wished = [take for take in takes if take is not None]
        used = [sum(n) for n in zip(*(take.used for take in wished), strict=True)]
        enough = all(u <= n for u, n in zip(used, rest, strict=False))
        return [take.option for take in wished] if enough and len(wished) == len(takes) else None
