"""The stack to hang of a ranked list: its first, unless another one is better in what is told of it.

The cost counts all that is uncertain, and several thin sheets are off by less together than a thick one. So
three eighths of CTO may stand above a quarter that leads nearer. Nobody hangs more sheets for that. And a
head just off the tolerance may cost less bare than with a sheet. But who set the tolerance hangs one sheet
more if the light is then likely to be within it, and else is not.
"""

from collections.abc import Sequence

from ...model import StackAdvice

_BRIGHT = 0.05
"""Stacks that lose less light than needed to keep below the key by no more than this do. [stop]"""
_EVEN, _LIKELIER = 0.5, 0.3
"""What lands within the tolerance less often than the first gives way to what does so more often than that,
by the second at least. Our judgement; what it does to measured lamps is in `tests.accuracy.rounds`."""
_MORE_LAYERS, _MORE_STOPS = 1, 0.5
"""It may have so many sheets more, and lose so much more light [stop]."""


def first_line(stacks: Sequence[StackAdvice], least_stops: float = 0.0) -> StackAdvice:
    """Return the stack of a ranked list that is to be hung.

    It loses at least `least_stops`, if the first one does. A stack that was read gives way to none that was
    not.
    """
    first = stacks[0]
    first = next((s for s in stacks if likelier(s, first, least_stops)), first)
    while better := next((s for s in stacks if beats(s, first, least_stops)), None):
        first = better
    return first


def metered_first(first: StackAdvice, stacks: Sequence[StackAdvice]) -> StackAdvice:
    """Return what was metered nearest behind gels, where the `first` was not, and is not expected as near.

    What is likely within the tolerance goes before that all the same.
    """
    metered = [stack for stack in stacks if stack.read and stack.layers]
    if first.read or first.within >= _EVEN or not metered:
        return first
    nearest = min(metered, key=lambda stack: stack.miss.steps)
    return nearest if nearest.miss.steps < first.miss.expected_steps else first


def beats(stack: StackAdvice, first: StackAdvice, least_stops: float = 0.0) -> bool:
    """Say whether a stack has fewer layers, is nearer, and is told to be as likely close, for no more light.

    It must not take more moves from what hangs, if that is known.
    """
    fewer = stack.layers < first.layers and _moves(stack) <= _moves(first)
    nearer = stack.miss.steps < first.miss.steps and _told(stack.within) >= _told(first.within)
    dark = min(least_stops, first.stops) - _BRIGHT <= stack.stops <= first.stops
    return fewer and nearer and dark and (stack.read is not None or first.read is None)


def likelier(stack: StackAdvice, first: StackAdvice, least_stops: float = 0.0) -> bool:
    """Say whether a stack is likely to be within the tolerance and the first is not, for a sheet more.

    Neither was read, and it takes no more moves from what hangs.
    """
    close = first.within < _EVEN <= stack.within and stack.within >= first.within + _LIKELIER
    near = stack.layers <= first.layers + _MORE_LAYERS and _moves(stack) <= _moves(first)
    dark = min(least_stops, first.stops) - _BRIGHT <= stack.stops <= first.stops + _MORE_STOPS
    return close and near and dark and stack.read is None and first.read is None


def _told(chance: float) -> int:
    """Return how many times in ten a page tells (`wording.words.in_ten`)."""
    return round(10.0 * chance)


def _moves(stack: StackAdvice) -> int:
    return len(stack.moves.take_off) + len(stack.moves.hang) if stack.moves else 0
