"""A source that gel cannot bring in: how far it gets at best, which limit is why, what a little more brings.

Out of reach is what the best of its stacks leaves more than `PLAINLY` steps beyond its tolerance: then it
shows whatever hangs, and layers and light are spent for nothing.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..model import Limits, Refused, SourceAdvice, StackAdvice
from ..model.phrases import counted
from ..model.quantities import tidy
from .advise import advise_on
from .prediction import Bare
from .rack import PLENTY, Rack
from .words import is_seen, seen

PLAINLY = 5.0
"""So far beyond the tolerance even the best stack leaves what is out of reach. [step] Our judgement."""
_HALF = 0.5
_MOST_LAYERS, _MOST_STOPS = 4, 10.0
_WORTH_A_LIMIT = 1.0
"""A limit is why only where a little more of it brings at least so much. [step]"""


def out_of_reach(answer: SourceAdvice, tolerance: float, *, leave: bool) -> StackAdvice | None:
    """Return the stack that brings a source nearest where that is out of reach; None where it is in reach.

    What a source gets of a shared stock counts as its best; what is to be left as it is misses nothing.
    """
    stacks = [answer.allocated.stack] if answer.allocated else answer.stacks
    best = min(stacks, key=lambda stack: stack.miss.steps)
    return best if not leave and best.miss.steps > tolerance + PLAINLY else None


def why_not(bare: Bare, best: StackAdvice, limits: Limits, rack: Rack) -> str:
    """Say which limits keep a source out of reach: “With 2.5 stops instead of 2 it is close.”

    Empty where none does: then no gel of the table brings it in.
    """
    tolerance, said = limits.tolerance_of(bare.source), list[str]()

    def add(start: str, after: float | None) -> None:
        """Say what more than a limit brings, where that is worth it."""
        if after is None or after > best.miss.steps - _WORTH_A_LIMIT:
            return
        seen_as = seen(after, tolerance)
        nearer = "comes nearer, and still " if seen_as is best.miss.seen else ""
        said.append(f"{start} it {nearer}{is_seen(seen_as)}.")

    if limits.max_stops is not None and limits.max_stops + _HALF <= _MOST_STOPS:
        more = limits.max_stops + _HALF
        after = _best([bare], limits, rack, max_stops=more)
        add(f"With {counted(more, 'stop')} instead of {tidy(limits.max_stops)}", after)
    if limits.max_layers < _MOST_LAYERS:
        more = limits.max_layers + 1
        after = _best([bare], limits, rack, max_layers=more)
        add(f"With {counted(more, 'layer')} instead of {limits.max_layers}", after)
    if (rack.stock < PLENTY).any():
        plenty = replace(rack, stock=np.full_like(rack.stock, PLENTY))
        add("With enough of every gel", _best([bare], limits, plenty))
    return " ".join(said)


def _best(bares: Sequence[Bare], limits: Limits, rack: Rack, **more: float) -> float | None:
    """Return how little is left at best with other limits; None where that is too much to search. [step]"""
    try:
        [answer] = advise_on(bares, limits.model_copy(update={"share_stock": False, **more}), rack).answers
    except Refused:
        return None
    return min(stack.miss.steps for stack in answer.stacks)
