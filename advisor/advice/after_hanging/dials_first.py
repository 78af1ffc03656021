"""Dials before gel: how to turn an adjustable head after a reading, before anybody climbs with a sheet.

A reading at the set dials says what they give. If it was taken behind gels, the bare light that would give it
is worked out, and that teaches the dials like any other reading.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.grid import weights
from ...colour.spectra.sources import Unbendable, behind
from ...model import Limits, Reading, Refused, Source, StackAdvice, WantedOffset, Work
from ..answer.advise import advise_on
from ..dials.ranking import standing
from ..readings.chromaticity import white_at
from ..readings.dim_curve import InUse
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource, prepare
from .check import Check
from .next_move import WORTH_A_SWAP, change_to


def dials_before_gel(stacks: Sequence[StackAdvice], hung: Sequence[str], tolerance: float) -> StackAdvice:
    """Return the stack that leaves what hangs and only turns the dials, if that is enough; else the first.

    It is enough if the dials bring the light within the tolerance, or at most a step farther off than the
    first.
    """
    same = Counter(hung)
    turned = [stack for stack in stacks if stack.dial and Counter(stack.gels) == same]
    best = min(turned, key=lambda stack: stack.miss.steps, default=None)
    if best is None or best.miss.steps > max(tolerance, stacks[0].miss.steps + WORTH_A_SWAP):
        return stacks[0]
    return next(stack for stack in turned if stack.miss.steps <= max(tolerance, best.miss.steps))


def turned(
    check: Check, bare: PreparedSource, work: Work, chosen: StackAdvice, limits: Limits, gel_arrays: GelArrays
) -> Check:
    """Return a check whose change turns the dials in place of gel.

    It stays as it is if nothing is known of the dials, the gel is doubted, or the light is right.
    """
    if check.settled or check.on_edge or check.gel_doubted or bare.source.reach is None:
        return check
    stacks = _as_found(check, bare, work, limits, gel_arrays, ())
    if not any(stack.dial for stack in stacks):
        return check
    # What hangs may be no stack that would be advised now, so it is ranked again as gels that stay.
    kept = _as_found(check, bare, work, limits, gel_arrays, work.gels) if work.gels else ()
    to = dials_before_gel([stacks[0], *kept, *stacks[1:]], work.gels, check.tolerance)
    change = change_to(chosen, to)
    if change.some and to.miss.steps <= check.left - WORTH_A_SWAP:
        return replace(check, swap=change, smaller=None)
    return replace(check, swap=None, smaller=None) if check.as_predicted else check


def _as_found(
    check: Check, bare: PreparedSource, work: Work, limits: Limits, gel_arrays: GelArrays, kept: Sequence[str]
) -> Sequence[StackAdvice]:
    """Rank a head's stacks for the bare light that its reading behind gels leads to; gels in `kept` stay.

    Empty if no light of its kind reads like that behind them.
    """
    try:
        stood = standing(bare, work.dial)
        sheets = gel_arrays.product(gel_arrays.find(work.gels))
        lit = behind(stood.ensemble, sheets, check.white.uv)
        white = white_at(uv_of_xyz(lit.mean @ weights()))
        if white is None:
            return ()
        passed = float(lit.mean @ (weights()[:, 1] * sheets))
        lux = check.reading.lux / passed if check.reading.lux and passed > 0 else None
        dial = work.dial or bare.source.reading.dial
        read = Reading(cct=white.cct, duv=white.duv, lux=lux, dial=dial, level=check.reading.level)
        source: Source = bare.source.model_copy(
            update={
                "reading": read,
                "readings": bare.source.bare_readings,
                "level": None,
                "modifier": None,
                "work": None,
                "aim": WantedOffset(),
                "keep": list(kept) or bare.source.keep,
            }
        )
        seen = prepare(source, gel_arrays, bare.wanted, InUse(read))
        [answer] = advise_on([seen], limits.model_copy(update={"share_stock": False}), gel_arrays).answers
    except (Refused, Unbendable, ValueError):
        return ()
    return answer.stacks
