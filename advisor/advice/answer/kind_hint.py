"""Whether saying what lamp it is would narrow an answer: a question beside it, with the kinds as taps.

Of all that a crew can say of a source without another reading, its kind narrows most; where even that changes
little, gels and meter are what is in doubt, and nothing is asked.
"""

from dataclasses import replace

import numpy as np

from ...colour.spectra.kinds import shares
from ...colour.spectra.sources import Unbendable
from ...model import Kind, KindQuestion, Limits, Refused, StackAdvice
from ..learned.informed import judge_of
from ..readings.shape import ensemble_of
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .one_stack import predict_stack

_UNSURE = 3.0
"""From so much on, not knowing the kind is worth a question. [step] The usual tolerance."""
_WORTH = 0.9
"""Nor is it where knowing it would leave more than this of the doubt, on the average. Our judgement."""


def kind_hint(
    bare: PreparedSource, stack: StackAdvice, limits: Limits, gel_arrays: GelArrays
) -> KindQuestion | None:
    """Return the kinds that a source may be of, where saying which would narrow what `stack` does.

    What each kind would leave of the doubt counts by how likely it is; a kind of which no lamp reads so is
    left out.
    """
    if bare.source.kind is not Kind.UNKNOWN or bare.ensemble.measured or stack.uncertainty_steps < _UNSURE:
        return None
    left = {}
    for name, share in shares(bare.white.uv).items():
        source = bare.source.model_copy(update={"kind": Kind(name)})
        try:
            of_kind = replace(bare, source=source, ensemble=ensemble_of(source, bare.white))
            doubt = _doubt(of_kind, stack, limits, gel_arrays)
        except (Refused, Unbendable):
            continue
        left[Kind(name)] = share, doubt
    if len(left) < 2:
        return None
    known = sum(share * doubt for share, doubt in left.values()) / sum(share for share, _ in left.values())
    if known > _WORTH * stack.uncertainty_steps:
        return None
    return KindQuestion(words="What lamp is it? That makes this surer.", kinds=[k for k in Kind if k in left])


def _doubt(bare: PreparedSource, stack: StackAdvice, limits: Limits, gel_arrays: GelArrays) -> float:
    """Return how far off a stack may be, in nine of ten cases. [step]"""
    if stack.dial:
        return predict_stack(bare, limits, gel_arrays, stack.gels, stack.dial).uncertainty_steps
    # No more is worked out than that: pages ask it of each source of a set.
    indices = np.array([gel_arrays.find(stack.gels)], dtype=np.intp).reshape(1, -1)
    return float(judge_of(bare, gel_arrays, limits).certainty(indices).steps[0])
