"""How many of many cases a test tries: a part of them in every run, all of them where that is asked for.

`ADVISOR_THOROUGH=1 python3 tests/run.py` asks for all. A case that once failed is named, and tried always.
Where each page or address is tried in many ways, every run tries each of them, and takes the ways in turn.
"""

import os
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")
THOROUGH = os.environ.get("ADVISOR_THOROUGH", "") not in ("", "0")


def cases(whole: int, share: int = 4) -> int:
    """Return how many of `whole` cases, from the first on, are tried in this run: one of `share`, or all."""
    return whole if THOROUGH else -(-whole // share)


def in_turn(ways: Sequence[T], at: int) -> Sequence[T]:
    """Return the ways in which case number `at` is tried in this run: the one whose turn it is, or all."""
    return ways if THOROUGH else ways[at % len(ways) :][:1]
