"""What is told of a list as a whole: is the source in reach, which stack is hung first, what is held back."""

from ...model import Limits, SourceAdvice
from ..ranking.candidates import choice_of
from ..ranking.first_line import place_of_first
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .reached import with_reach


def told_whole(
    answer: SourceAdvice, bare: PreparedSource, limits: Limits, gel_arrays: GelArrays
) -> SourceAdvice:
    """Return an answer with whether gel brings the source in, which stack to hang, and what is held back.

    `held_back` counts stacks at most: those of gel alone, not of settings of the dials.
    """
    answer = with_reach(answer, limits.tolerance_of(bare.source), leave=bare.source.aim.leave)
    if any(stack.dial for stack in answer.stacks):
        return answer
    held_back = max(0, choice_of(bare, limits, gel_arrays).count - len(answer.stacks))
    first = place_of_first(answer.stacks, answer.least_stops)
    return answer.model_copy(update={"held_back": held_back, "first": first})
