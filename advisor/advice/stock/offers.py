"""What a source that shares a stock may take, and how it is asked."""

from collections.abc import Mapping
from typing import NamedTuple, Protocol

SAME = 1e-9
"""Misses that differ by less are equal: sums in another order round in another way. [step]"""


class Offer(NamedTuple):
    """A stack that a source may take: its number there, its miss, its cost and the sheets that it uses."""

    number: int
    miss: float
    cost: float
    uses: Mapping[int, int]


class Wish(Protocol):
    """A source that is to be served. At least one of its stacks uses no sheet of any stock."""

    @property
    def price(self) -> int:
        """How long a question that was not put before takes, in looks at an answer that is known."""

    def cheapest(self, most: Mapping[int, int], miss: float) -> Offer | None:
        """Return the cheapest stack that misses by `miss` or less and uses no more of any gel than `most`."""

    def nearest(self, most: Mapping[int, int]) -> Offer:
        """Return the stack of least miss, then least cost, that uses no more of any gel than `most`."""
