"""How good a stack will be, and that no stack is likely near enough, in the words of pages and of the API."""

from collections.abc import Sequence

from ...model import Seen, StackAdvice
from .words import in_ten, times_in_ten

NEAR = (Seen.MATCHES, Seen.CLOSE)
"""What counts as brought in: read so, or told so with a chance of five in ten or more."""
CLOSEST = "Closest there is."
LIKELIER = "Another stack is likelier to come close."
_LEAST_CHANCE = 0.05
"""Less rounds to none in ten."""
_SELDOM = 0.3
"""What comes close less often is said not to: our judgement."""
_LIKELIER = 0.15
"""A chance that is so much greater is worth a word, where chances are told in tenths."""
_TOLD_APART = 1.0
"""What is so little nearer looks no nearer. [step] What is just told apart (CIE TN 001:2014, from memory)."""


def outlook(stack: StackAdvice) -> str:
    """Say how good a stack will be, and the chance that it lands within the tolerance: “close, 8 in 10”.

    What is not likely to be near says what the chance is of; where there is next to none, nothing.
    """
    if stack.read:
        return f"{stack.miss.seen}, metered"
    seen, chance = stack.miss.seen, in_ten(stack.within)
    if seen in NEAR:
        return f"{seen}, {chance}"
    return f"{seen}, {chance} it’s close" if stack.within >= _LEAST_CHANCE else str(seen)


def same_stack(one: StackAdvice, other: StackAdvice) -> bool:
    """Whether two are the same gels, whatever their order, with the dials at the same setting."""
    return (sorted(one.gels), one.dial) == (sorted(other.gels), other.dial)


def closest(best: StackAdvice, stacks: Sequence[StackAdvice]) -> str:
    """Say that no stack of a list is likely near enough, of which `best` comes first; empty where one may be.

    It says nothing that the list beside it contradicts: one of more layers or less light may be likelier. The
    same stack, predicted otherwise there, is no other.
    """
    if best.miss.seen in NEAR:
        return ""
    stacks = [stack for stack in stacks if not same_stack(stack, best)] or [best]
    likeliest = max(stack.within for stack in stacks)
    if likeliest > best.within + _LIKELIER:
        return LIKELIER
    if likeliest >= _SELDOM:
        return ""
    nearest = best.miss.expected_steps <= min(stack.miss.expected_steps for stack in stacks) + _TOLD_APART
    surest = times_in_ten(likeliest) <= times_in_ten(best.within)  # as the list beside it tells them
    return CLOSEST if nearest and surest else "No stack here comes close."
