"""The stack to hang of a ranked list: its first, unless another one is what a gaffer would hang.

The cost counts all that is uncertain, and several thin sheets are off by less together than a thick one. So
three eighths of CTO may stand above a quarter that leads nearer, or a half and two quarters above two halves.
Nobody hangs more sheets for that. What is told beside a stack decides instead: its sheets, how likely it is
close, in so many times of ten, its light and what is left (common practice, no source):

- Fewer sheets go first where they are about as likely close, and are nearer for no more light, or less than a
  step farther for less than a third of a stop. So whole fractions go before the same in parts.
- Of as many sheets, or fewer, the likelier stack goes first where it is no farther off, for less than a third
  of a stop.
- One sheet more goes first only where it is likely within the tolerance and the first is not, and plainly:
  who set the tolerance hangs it.

What was read behind gels gives way to nothing that was not.
"""

from collections.abc import Sequence

from ...model import StackAdvice
from ..wording.words import times_in_ten

_BRIGHT = 0.05
"""Stacks that lose less light than needed to keep below the key by no more than this do. [stop]"""
_EVEN, _LIKELIER = 0.5, 0.3
"""What lands within the tolerance less often than the first gives way to what does so more often than that,
by the second at least. Our judgement; what it does to measured lamps is in `tests.accuracy.rounds`."""
_MORE_LAYERS, _MORE_STOPS = 1, 0.5
"""It may have so many sheets more, and lose so much more light [stop]."""
_LITTLE_LIGHT = 0.3
"""A crew gives less light than this away without a word. [stop] Common practice, no source."""
_HARDLY = 0.05
"""A chance that is greater by less than this, half of what is told, takes no sheet and no light."""
_UNSEEN = 1.0
"""Two lights that differ by less look the same. [step] CIE TN 001:2014, from memory."""


def first_line(stacks: Sequence[StackAdvice], least_stops: float = 0.0) -> StackAdvice:
    """Return the stack of a ranked list that is to be hung.

    It loses at least `least_stops`, if the first one does. A stack that was read gives way to none that was
    not. What it gives away in light and distance is counted from the stack that the cost puts first.
    """
    first = stacks[0]
    first = next((s for s in stacks if likelier(s, first, least_stops)), first)
    little = [_little_worse(stack, first, least_stops) for stack in stacks]
    # Each turn leaves fewer sheets, or as many and a likelier stack: so it ends.
    while better := next(
        (
            stack
            for stack, near in zip(stacks, little, strict=True)
            if beats(stack, first, least_stops) or (near and (plainer(stack, first) or surer(stack, first)))
        ),
        None,
    ):
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


def place_of_first(stacks: Sequence[StackAdvice], least_stops: float = 0.0) -> int:
    """Return the place of the stack to be hung, by what was metered too, where nobody has decided yet."""
    first = metered_first(first_line(stacks, least_stops), stacks)
    return next(place for place, stack in enumerate(stacks) if stack is first)


def beats(stack: StackAdvice, first: StackAdvice, least_stops: float = 0.0) -> bool:
    """Say whether a stack has fewer layers, is nearer, and is told to be as likely close, for no more light.

    It must not take more moves from what hangs, if that is known.
    """
    fewer = stack.layers < first.layers and _moves(stack) <= _moves(first)
    nearer = stack.miss.steps < first.miss.steps and times_in_ten(stack.within) >= times_in_ten(first.within)
    dark = min(least_stops, first.stops) - _BRIGHT <= stack.stops <= first.stops
    return fewer and nearer and dark and (stack.read is not None or first.read is None)


def plainer(stack: StackAdvice, first: StackAdvice) -> bool:
    """Say whether a stack has fewer layers, and is told to be as likely close or hardly less."""
    fewer = stack.layers < first.layers and _moves(stack) <= _moves(first)
    as_likely = times_in_ten(stack.within) >= times_in_ten(first.within)
    return fewer and (as_likely or stack.within >= first.within - _HARDLY)


def surer(stack: StackAdvice, first: StackAdvice) -> bool:
    """Say whether a stack is told to be plainly likelier close, and no farther off, in no more layers."""
    no_more = stack.layers <= first.layers and _moves(stack) <= _moves(first)
    nearer = stack.miss.expected_steps <= first.miss.expected_steps
    likelier_close = times_in_ten(stack.within) > times_in_ten(first.within)
    return no_more and nearer and likelier_close and stack.within >= first.within + _HARDLY


def _little_worse(stack: StackAdvice, first: StackAdvice, least_stops: float) -> bool:
    """Say whether a stack costs little light beside the first, and what is left differs by less than shows.

    Neither was read.
    """
    unseen = stack.miss.expected_steps < first.miss.expected_steps + _UNSEEN
    dark = min(least_stops, first.stops) - _BRIGHT <= stack.stops < first.stops + _LITTLE_LIGHT
    return unseen and dark and stack.read is None and first.read is None


def likelier(stack: StackAdvice, first: StackAdvice, least_stops: float = 0.0) -> bool:
    """Say whether a stack is likely to be within the tolerance and the first is not, for a sheet more.

    Neither was read, and it takes no more moves from what hangs.
    """
    close = first.within < _EVEN <= stack.within and stack.within >= first.within + _LIKELIER
    near = stack.layers <= first.layers + _MORE_LAYERS and _moves(stack) <= _moves(first)
    dark = min(least_stops, first.stops) - _BRIGHT <= stack.stops <= first.stops + _MORE_STOPS
    return close and near and dark and stack.read is None and first.read is None


def _moves(stack: StackAdvice) -> int:
    return len(stack.moves.take_off) + len(stack.moves.hang) if stack.moves else 0
