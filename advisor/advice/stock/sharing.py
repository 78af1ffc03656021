"""One stock for all sources: who gets what, and the words for why.

If all first choices can be hung, every source gets its own. If not, the worst miss is made as small as
possible, and then the total cost (`allocation`). Misses within the tolerance all count the same: those
sources match. Sheets that hang already stay where they are.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...colour.observer.data import Array
from ...model import Limits
from ...model.basis.quantities import tidy
from ...model.sets.phrases import listed
from ..cost.counted import merge_ties
from ..cost.judge import Judge
from ..ranking.candidates import candidates, choice_of
from ..stacks.enumerate import NONE, Choice, Indices
from ..stacks.gel_arrays import PLENTY, GelArrays
from ..stacks.prediction import PreparedSource
from .allocation import allocate
from .offers import Offer
from .shelf import Shelf

_MOST_SHELVED = 12_000
"""The most stacks of which all are judged and put on the shelf. If there are more, only the front goes
there."""
_FRONT_PRICE = 2000
"""How long it takes to find a front anew, in looks at an answer that is known."""
_IN_TURN = "Shared out in turn, the neediest first. The very best share takes too long to find."


class Share(NamedTuple):
    """What one source gets: the gels of its stack, as indices in the gel table, and why."""

    gels: tuple[int, ...]
    words: str


def share(
    bares: Sequence[PreparedSource],
    firsts: Sequence[Sequence[int]],
    limits: Limits,
    gel_arrays: GelArrays,
    taken: Sequence[int] = (),
) -> list[Share]:
    """Share out the sheets over all sources; `firsts` are their first choices, as indices in the gel table.

    Sheets that are `taken` are no longer there to share.
    """
    kept = Counter(gel for bare in bares for gel in bare.keep) + Counter(taken)
    stock = {
        int(gel): max(int(gel_arrays.stock[gel]) - kept[int(gel)], 0)
        for gel in np.flatnonzero(gel_arrays.stock < PLENTY)
    }
    wished = [_added(first, bare, stock) for first, bare in zip(firsts, bares, strict=True)]
    total = sum(wished, Counter[int]())
    if all(total[gel] <= n for gel, n in stock.items()):
        return [
            Share(tuple(first), "Its first choice: there is enough for every source.") for first in firsts
        ]
    offers = [
        _Offers(bare, choice_of(bare, limits, gel_arrays).capped(stock), limits, gel_arrays) for bare in bares
    ]
    options, _, best = allocate(offers, stock)
    got = [offer.gels(option) for offer, option in zip(offers, options, strict=True)]
    uses = [_added(gels, bare, stock) for gels, bare in zip(got, bares, strict=True)]
    case = _Case(gel_arrays, bares, offers, stock, wished, uses)
    first = [sorted(gels) == sorted(wish) for gels, wish in zip(got, firsts, strict=True)]
    said = [case.words(i, is_first) for i, is_first in enumerate(first)]
    return [
        Share(gels, words if best or is_first else f"{words} {_IN_TURN}")
        for gels, words, is_first in zip(got, said, first, strict=True)
    ]


def _added(gels: Sequence[int], bare: PreparedSource, stock: Mapping[int, int]) -> Counter[int]:
    """Count the sheets that a stack takes from the stock."""
    return Counter(gel for gel in gels if gel in stock) - Counter(bare.keep)


class _Offers:
    """The stacks that one source may take: all of them, or the front within what is left."""

    def __init__(self, bare: PreparedSource, choice: Choice, limits: Limits, gel_arrays: GelArrays) -> None:
        self._judge, self._choice, self._gel_arrays = (
            Judge(bare, gel_arrays, limits.for_source(bare.source)),
            choice,
            gel_arrays,
        )
        self._shelves: dict[Choice, tuple[Indices, Array, Shelf]] = {}
        self._taken: list[tuple[tuple[int, ...], float]] = []

    @property
    def price(self) -> int:
        """How long a question that was not put before takes, in looks at an answer that is known."""
        return Shelf.price if self._choice.count <= _MOST_SHELVED else _FRONT_PRICE

    def nearest(self, most: Mapping[int, int]) -> Offer:
        """Return the stack of least miss, then least cost, that uses no more of any gel than `most`."""
        stacks, steps, shelf = self._within(most)
        return self._numbered(stacks, steps, shelf.nearest(most))

    def cheapest(self, most: Mapping[int, int], miss: float = math.inf) -> Offer | None:
        """Return the cheapest stack that misses by `miss` or less and uses no more of any gel than `most`."""
        stacks, steps, shelf = self._within(most)
        option = shelf.cheapest(most, miss)
        return None if option is None else self._numbered(stacks, steps, option)

    def gels(self, option: Offer) -> tuple[int, ...]:
        """Return the gels of an option's stack."""
        return self._taken[option.number][0]

    def miss(self, option: Offer) -> float:
        """Return the expected miss of an option's stack, within the tolerance too. [step]"""
        return self._taken[option.number][1]

    def _numbered(self, stacks: Indices, steps: Array, option: Offer) -> Offer:
        gels = tuple(int(gel) for gel in stacks[option.number] if gel != NONE)
        self._taken.append((gels, float(steps[option.number])))
        return option._replace(number=len(self._taken) - 1)

    def _within(self, most: Mapping[int, int]) -> tuple[Indices, Array, Shelf]:
        # A shelf of all stacks drops those that use too much. A front is found anew for what is left.
        choice = self._choice if self._choice.count <= _MOST_SHELVED else self._choice.capped(most)
        if choice not in self._shelves:
            self._shelves[choice] = self._shelf(choice)
        return self._shelves[choice]

    def _shelf(self, choice: Choice) -> tuple[Indices, Array, Shelf]:
        judge = self._judge
        [(stacks, outcomes)] = candidates([judge], [choice])
        able = judge.affordable(outcomes.passed) & np.isfinite(outcomes.steps)
        able[0] = True
        stacks, steps, passed = stacks[able], outcomes.steps[able], outcomes.passed[able]
        costs = judge.cost(stacks, judge.risk(stacks, judge.certainty(stacks)), passed)
        scarce = [gel for gel in choice.gels if self._gel_arrays.stock[gel] < PLENTY]
        added = stacks[:, len(choice.keep) :, None]
        uses = (added == np.array(scarce, dtype=np.intp)).sum(axis=1)
        counted = np.maximum(steps, judge.limits.tolerance_steps)
        return stacks, steps, Shelf(merge_ties(counted), merge_ties(costs), scarce, uses)


class _Case(NamedTuple):
    """An allocation, to be put into words: what every source wanted from the stock, and what it got."""

    gel_arrays: GelArrays
    bares: Sequence[PreparedSource]
    offers: Sequence[_Offers]
    stock: Mapping[int, int]
    wished: Sequence[Counter[int]]
    got: Sequence[Counter[int]]

    def words(self, i: int, first: bool) -> str:
        """Say why a source gets what it gets; `first` where that is its first choice."""
        total = sum(self.wished, Counter[int]())
        said = []
        for gel in sorted(total):
            if total[gel] <= self.stock[gel]:
                continue
            short = [k for k in range(len(self.got)) if k != i and self.got[k][gel] < self.wished[k][gel]]
            holders = [k for k in range(len(self.got)) if self.got[k][gel]]
            if self.got[i][gel] and short:
                other = max(short, key=lambda k: self._without(k, gel))
                some = "" if self.stock[gel] == 1 else f"{self.got[i][gel]} of "
                off, there = self._steps(i, gel), self._steps(other, gel)
                said.append(
                    f"Gets {some}{self._sheets(gel)}: {off} steps off without, {self._name(other)} {there}."
                )
            elif self.wished[i][gel] > self.got[i][gel]:
                said.append(self._gone(i, gel, holders))
        if said:
            return " ".join(said)
        return "Its first choice." if first else "Not its first choice, so that the sheets go round."

    def _gone(self, i: int, gel: int, holders: Sequence[int]) -> str:
        """Say who got the sheets of a gel that this source wanted."""
        name = self.gel_arrays.names[gel]
        if not holders:
            if not self.stock[gel]:
                return f"No {name} is left."
            return f"Too few sheets of {name} for all who would take one. This costs no more."
        neediest = max(holders, key=lambda k: self._without(k, gel))
        needs = self._without(neediest, gel) > self._without(i, gel)
        where = listed([self._name(k) for k in holders])
        why = ", which needs it most" if needs and len(holders) == 1 else ""
        sheets = self._sheets(gel)
        return (
            f"{sheets[0].upper()}{sheets[1:]} went to {where}{why}. "
            f"Without: {self._steps(neediest, gel)} steps off there, {self._steps(i, gel)} here."
        )

    def _sheets(self, gel: int) -> str:
        name, count = self.gel_arrays.names[gel], self.stock[gel]
        return f"the last {name}" if count == 1 else f"the last {count} sheets of {name}"

    def _name(self, i: int) -> str:
        return self.bares[i].source.name

    def _without(self, i: int, gel: int) -> float:
        """Return by how much a source would miss if it got none of a gel. [step]"""
        option = self.offers[i].cheapest({gel: 0})
        assert option is not None, "the stack with nothing added uses no sheet"
        return self.offers[i].miss(option)

    def _steps(self, i: int, gel: int) -> str:
        return tidy(self._without(i, gel), 1)
