"""Sheets that burnt or faded while they hung: what was read behind them since tells nothing of the lamp.

A gel on a hot head fades, or burns through, within minutes. Then the light behind it moves as if the lamp had
changed. Which of the two it was, a bare reading tells. Until there is one, the lamp is taken for what it last
read bare, and what was read behind the sheets since they moved counts for nothing.
"""

from dataclasses import replace

from ...model import Accuracy, Kind, Reading, Source
from ...model.sets.behind import read_behind, same_but_filled_in
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import PreparedSource
from .light_now import nearer, pairs_behind

OR_THE_LAMP = "Gel burnt or faded, or the lamp changed? Meter it bare: that tells."
"""Said of a lamp that was read otherwise behind the same gels, and by its bare reading should not be."""

BURNT = "The gel burnt or faded: bare it reads as before. Hang new sheets."
"""Said of a lamp that was read otherwise behind the same gels, and bare since as before."""


def since_burnt(
    source: Source, bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy
) -> tuple[Reading, ...]:
    """Return what was read of a lamp behind sheets that may have burnt or faded, as `read_behind` has it.

    So it may be where two readings behind one stack, at one level, differ by more than the meter explains,
    and the bare reading fits the first. It is not where somebody looked at the gel, for daylight, which moves
    by itself, and for adjustable heads. `bare` is the source made ready; what it leaves out is not compared.
    """
    if source.reach or source.kind is Kind.DAYLIGHT or not source.reading.said:
        return ()
    behind, found = read_behind(source), []
    for read, old, new in pairs_behind(source, bare, behind, accuracy):
        before, after = behind[old], behind[new]
        if after.gels_checked or before.level != after.level or nearer(bare, after, before, gel_arrays):
            continue
        found += [behind[index] for index in read if index >= new]
    return tuple(found)


def may_have_burnt(bare: PreparedSource, found: Reading, gel_arrays: GelArrays, accuracy: Accuracy) -> bool:
    """Whether `found`, which is left out, may have been read behind sheets that burnt or faded."""
    others = tuple(one for one in bare.left_out if not same_but_filled_in(one, found))
    if len(others) == len(bare.left_out):
        return False
    burnt = since_burnt(bare.source, replace(bare, left_out=others), gel_arrays, accuracy)
    return any(same_but_filled_in(one, found) for one in burnt)
