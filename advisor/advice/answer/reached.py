"""Whether gel brings a source in, and what a page says where it cannot.

A source is out of reach if its best stack leaves it more than `PLAINLY` steps beyond its tolerance. It then
shows whatever hangs, and layers and light are spent for nothing.
"""

from collections.abc import Sequence

from ...model import Source, SourceAdvice, StackAdvice
from ..wording.outlook import NEAR, closest, outlook

PLAINLY = 5.0
"""A source is out of reach if its best stack leaves it farther beyond the tolerance. [step] Our judgement."""
_NO_NEARER = 1.0
"""Nobody hangs gel that brings a source no nearer than this, if it stays out of reach. [step]"""
BEYOND = "Gel can’t fix this one"
"""What is said of a source that is out of reach."""


def nearest(answer: SourceAdvice) -> StackAdvice:
    """Return the stack that brings a source nearest; the one with the least on it where that does as well."""
    stacks = _had(answer)
    best = min(stacks, key=lambda stack: stack.miss.steps)
    least = min(stacks, key=lambda stack: stack.layers)
    return least if least.miss.steps <= best.miss.steps + _NO_NEARER else best


def out_of_reach(answer: SourceAdvice, tolerance: float, *, leave: bool) -> StackAdvice | None:
    """Return the stack that brings a source nearest where that is out of reach; None where it is in reach.

    If the stock is shared, the best is what the source gets of it. A source that is to be left as it is is
    always in reach.
    """
    best = nearest(answer)
    return best if not leave and best.miss.steps > tolerance + PLAINLY else None


def out_of_reach_each(
    sources: Sequence[Source], answers: Sequence[SourceAdvice], tolerances: Sequence[float]
) -> list[StackAdvice | None]:
    """Return of each source what `out_of_reach` does."""
    each = zip(sources, answers, tolerances, strict=True)
    return [out_of_reach(answer, tolerance, leave=source.aim.leave) for source, answer, tolerance in each]


def is_reached(answer: SourceAdvice) -> bool:
    """Whether a stack that the source can have is told, or was read, to match or be close.

    A stack that would land within the tolerance if all went well, and in two cases of ten does, is none.
    """
    return any(stack.miss.seen in NEAR for stack in _had(answer))


def with_reach(answer: SourceAdvice, tolerance: float, *, leave: bool) -> SourceAdvice:
    """Return the answer with whether gel brings the source in; and where it does not, what a page says.

    Of a source that is to be left as it is, nobody asks for that: it counts as in.
    """
    if leave or is_reached(answer):
        return answer
    if out_of_reach(answer, tolerance, leave=False):
        said = BEYOND
    else:
        stacks = _had(answer)
        likely = outlook(stacks[0])
        said = closest(stacks[0], stacks) or f"{likely[:1].upper()}{likely[1:]}."
    return answer.model_copy(update={"reached": False, "beyond": said})


def _had(answer: SourceAdvice) -> list[StackAdvice]:
    """Return the stacks that a source can have: where the stock is shared, what it gets of that."""
    return [answer.allocated.stack] if answer.allocated else answer.stacks
