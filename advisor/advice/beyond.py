"""A source that gel cannot bring in: how far it gets at best, which limit is why, what a little more brings.

Out of reach is what the best of its stacks leaves more than `PLAINLY` steps beyond its tolerance: then it is
plain to see whatever hangs, and layers and light are spent for nothing.
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
    """Say which limits keep a source out of reach: “Within 2 stops 21 steps left; 2.5 stops would leave 6.”

    Empty where none does: then no gel of the table brings it in.
    """
    here, said = f"{tidy(best.miss.steps, 0)} steps left", []
    if limits.max_stops is not None and limits.max_stops + _HALF <= _MOST_STOPS:
        more = limits.max_stops + _HALF
        after = _best([bare], limits, rack, max_stops=more)
        if after is not None and after <= best.miss.steps - _WORTH_A_LIMIT:
            within, would = counted(limits.max_stops, "stop"), counted(more, "stop")
            said.append(f"Within {within} {here}; {would} would leave {tidy(after, 0)}.")
    if limits.max_layers < _MOST_LAYERS:
        after = _best([bare], limits, rack, max_layers=limits.max_layers + 1)
        if after is not None and after <= best.miss.steps - _WORTH_A_LIMIT:
            within, would = counted(limits.max_layers, "layer"), counted(limits.max_layers + 1, "layer")
            said.append(f"Within {within} {here}; {would} would leave {tidy(after, 0)}.")
    if (rack.stock < PLENTY).any():
        plenty = replace(rack, stock=np.full_like(rack.stock, PLENTY))
        after = _best([bare], limits, plenty)
        if after is not None and after <= best.miss.steps - _WORTH_A_LIMIT:
            said.append(f"With what is on the truck {here}; with enough of every gel {tidy(after, 0)}.")
    return " ".join(said)


def _best(bares: Sequence[Bare], limits: Limits, rack: Rack, **more: float) -> float | None:
    """Return how little is left at best with other limits; None where that is too much to search. [step]"""
    try:
        [answer] = advise_on(bares, limits.model_copy(update={"share_stock": False, **more}), rack).answers
    except Refused:
        return None
    return min(stack.miss.steps for stack in answer.stacks)
