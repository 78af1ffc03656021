"""The stack to hang of a ranked list: its first, unless another one is better in all that is told of it.

The cost counts all that is uncertain, and several thin sheets are off by less together than a thick one. So
three eighths of CTO may stand above a quarter that leads nearer. Nobody hangs more sheets for that.
"""

from collections.abc import Sequence

from ...model import StackAdvice

_BRIGHT = 0.05
"""Stacks that lose less light than needed to keep below the key by no more than this do. [stop]"""


def first_line(stacks: Sequence[StackAdvice], least_stops: float = 0.0) -> StackAdvice:
    """Return the stack of a ranked list that is to be hung.

    It loses at least `least_stops`, if the first one does. A stack that was read gives way to none that was
    not.
    """
    first = stacks[0]
    while better := next((s for s in stacks if beats(s, first, least_stops)), None):
        first = better
    return first


def beats(stack: StackAdvice, first: StackAdvice, least_stops: float = 0.0) -> bool:
    """Say whether a stack has fewer layers, is nearer, and is told to be as likely close, for no more light.

    It must not take more moves from what hangs, if that is known.
    """
    fewer = stack.layers < first.layers and _moves(stack) <= _moves(first)
    nearer = stack.miss.steps < first.miss.steps and _told(stack.within) >= _told(first.within)
    dark = min(least_stops, first.stops) - _BRIGHT <= stack.stops <= first.stops
    return fewer and nearer and dark and (stack.read is not None or first.read is None)


def _told(chance: float) -> int:
    """Return how many times in ten a page tells (`wording.words.in_ten`)."""
    return round(10.0 * chance)


def _moves(stack: StackAdvice) -> int:
    return len(stack.moves.take_off) + len(stack.moves.hang) if stack.moves else 0
