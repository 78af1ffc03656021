"""Whether gel brings a source in, and what a page says where it cannot.

A source is out of reach if its best stack leaves it more than `PLAINLY` steps beyond its tolerance. It then
shows whatever hangs, and layers and light are spent for nothing.
"""

from ...model import Seen, SourceAdvice, StackAdvice

PLAINLY = 5.0
"""A source is out of reach if its best stack leaves it farther beyond the tolerance. [step] Our judgement."""
_NO_NEARER = 1.0
"""Nobody hangs gel that brings a source no nearer than this, if it stays out of reach. [step]"""
_NEAR = (Seen.MATCHES, Seen.CLOSE)
BEYOND, CLOSEST = "Gel can’t fix this one", "Closest there is."
"""What is said of a source that is out of reach, and of one that is not, but beyond its tolerance."""


def nearest(answer: SourceAdvice) -> StackAdvice:
    """Return the stack that brings a source nearest; the one with the least on it where that does as well."""
    stacks = [answer.allocated.stack] if answer.allocated else answer.stacks
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


def is_reached(answer: SourceAdvice, tolerance: float) -> bool:
    """Whether a stack that the source can have likely brings it within its tolerance [step]."""
    stacks = [answer.allocated.stack] if answer.allocated else answer.stacks
    return any(s.miss.seen in _NEAR or s.miss.steps <= tolerance for s in stacks)


def with_reach(answer: SourceAdvice, tolerance: float, *, leave: bool) -> SourceAdvice:
    """Return the answer with whether gel brings the source in; and where it does not, what a page says."""
    if is_reached(answer, tolerance):
        return answer
    said = "" if leave else BEYOND if out_of_reach(answer, tolerance, leave=False) else CLOSEST
    return answer.model_copy(update={"reached": False, "beyond": said})
