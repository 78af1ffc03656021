"""After hanging: is the light what was foretold, and if not, what to change of what hangs now.

What was read behind the stack says more of the lamp than the bare reading did: its spectra are bent so
that behind the stack they are what the meter saw, and the stacks are ranked anew from there.
"""

from collections import Counter
from dataclasses import dataclass, replace

import numpy as np

from ..colour.cct import uv_of_cct_duv
from ..colour.chromaticity import STEP, distance, uv_of_xyz
from ..colour.grid import weights
from ..colour.sources import Unbendable, behind
from ..model import Limits, Reading, Refused, StackAdvice, Work
from . import words
from .advise import advise_on
from .dial import standing
from .levels import held
from .measure import Whiteness, measure, white_at
from .prediction import Bare
from .rack import Rack


@dataclass(frozen=True)
class Swap:
    """What to do to what hangs: gels to take off and gels to add; neither is leaving it as it is."""

    off: tuple[str, ...]
    on: tuple[str, ...]
    result: StackAdvice


@dataclass(frozen=True)
class Check:
    """What was read behind a stack, beside what was foretold and what is wanted.

    `apart` is how far the reading lies from what was foretold, `left` from what is wanted, and `allowed` the
    tolerance with the uncertainty of the foretelling, all in steps. `stops` is how much brighter it is than
    foretold; None where either has no illuminance. `swap` is what to change, where anything is to be.
    """

    reading: Reading
    white: Whiteness
    apart: float
    left: float
    allowed: float
    within: bool
    words: str
    stops: float | None
    swap: Swap | None


def check(bare: Bare, work: Work, limits: Limits, rack: Rack) -> Check | None:
    """Compare what was read behind a source's stack; None where nothing was.

    It is as it should be where it lies within tolerance and uncertainty of what was foretold, or within the
    tolerance of what is wanted. Raises Refused where what was read is no light.
    """
    if work.found is None or work.predicted is None:
        return None
    foretold, white = work.predicted, measure(work.found)
    expected = uv_of_cct_duv(np.array(foretold.cct), np.array(foretold.duv))
    tolerance = limits.tolerance_of(bare.source)
    apart = float(distance(white.uv, expected)) / STEP
    left = float(distance(white.uv, bare.wanted.uv)) / STEP
    allowed = tolerance + foretold.uncertainty_steps
    within = apart <= allowed or left <= tolerance
    lux = work.found.lux
    return Check(
        reading=work.found,
        white=white,
        apart=apart,
        left=left,
        allowed=allowed,
        within=within,
        words=words.left_over(left, *white.shift_to(bare.wanted)),
        stops=float(np.log2(lux / foretold.lux)) if lux and foretold.lux else None,
        swap=None if within else _swap(bare, work, white, limits, rack),
    )


def seen_through(bare: Bare, work: Work, white: Whiteness, rack: Rack) -> Bare:
    """Return the bare source as the reading behind its stack shows it to be.

    What it has to lose for the key's sake follows from its light; it has no dials here, and no limit of its
    own any more. Raises Unbendable where no light of its kind looks so behind the stack.
    """
    sheets = rack.product(rack.find(work.gels))
    stood = standing(bare, work.dial)
    lit = behind(stood.ensemble, sheets, white.uv)
    uv = uv_of_xyz((lit.weights @ lit.spectra) @ weights())
    seen = white_at(uv)
    if seen is None:
        raise Unbendable("the light without its gels would be no white")
    assert work.found is not None, "there is something to see"
    passed = float((lit.weights @ lit.spectra) @ (weights()[:, 1] * sheets))
    lux = work.found.lux / passed if work.found.lux and passed > 0 else None
    reading = Reading(cct=seen.cct, duv=seen.duv, lux=held(lux) if lux else None)
    source = bare.source.model_copy(update={"reading": reading, "reach": None, "over_key": None})
    over, was = bare.over, bare.source.reading.lux
    if over is not None and was and reading.lux:
        over += float(np.log2(reading.lux / was))
    return replace(stood, source=source, white=seen, ensemble=lit, doubt=0.0, over=over)


def _swap(bare: Bare, work: Work, white: Whiteness, limits: Limits, rack: Rack) -> Swap | None:
    """Return the change of gels that leads to the best stack, the smallest change of those that tie."""
    try:
        seen = seen_through(bare, work, white, rack)
        alone = limits.model_copy(update={"share_stock": False})
        [answer] = advise_on([seen], alone, rack).answers
    except (Refused, Unbendable):
        return None

    hung = Counter(rack.names[i] for i in rack.find(work.gels))

    def size(stack: StackAdvice) -> tuple[float, int]:
        # Stacks tie by their colour: one that leaves it too bright is no smaller change.
        off, on = _change(hung, stack)
        return round(max(seen.least_stops - stack.stops, 0.0), 1), len(off) + len(on)

    best = min(answer.stacks[: answer.ties[0]], key=size)
    return Swap(*_change(hung, best), best.model_copy(update={"dial": work.dial}))


def _change(hung: Counter[str], wanted: StackAdvice) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the gels to take off and those to add, which lead from what hangs to a stack."""
    then = Counter(wanted.gels)
    return tuple((hung - then).elements()), tuple((then - hung).elements())
