"""What was decided and is not what is wanted now: a plan that is out of date, a stack that should not hang.

It goes by the prediction alone: what was read behind a stack is `confirm`'s. A stack is wrong where it leaves
a head beyond its tolerance and what is advised leaves a step less. One that was planned so on purpose is no
mistake, unless something changed since: then it leaves another miss than when it was decided for, or nobody
knows what it left. A head that stays bare on purpose is none either. What is over a limit is, in any case.
"""

from collections import Counter

from ...model import Limits, StackAdvice, Stage, Work
from ...model.gels.gel import family_of
from ...model.sets.phrases import counted
from ..stacks.prediction import PreparedSource
from .next_move import WORTH_A_SWAP, Swap, change_to

_MOVED = 0.5
"""What is further off by less than this is left alone. [step] Our judgement."""


def stale(
    bare: PreparedSource,
    work: Work,
    entry: StackAdvice,
    plain: StackAdvice,
    first: StackAdvice,
    limits: Limits,
) -> Swap | None:
    """Return what to make of what was decided, `entry`, where `first` is advised; None where it may stay.

    `plain` is the same stack by the bare reading alone. Where the two differ, `entry` rests on what was read
    behind gels, of which the ranking knows nothing: then it stays as long as it is as it was decided. What
    was said to be right stays until what is wanted changes (`confirm.change_unread`).
    """
    stays_bare = work.stage is Stage.HUNG and not (entry.gels or entry.dial)
    if work.stage is Stage.CONFIRMED or bare.source.aim.leave or stays_bare:
        return None
    change = change_to(entry, first)
    over = over_limit(bare, work, entry, limits)
    if not change.some or not (over or _worse(bare, entry, change, limits)):
        return None
    as_decided = work.steps_off is not None and abs(entry.miss.steps - work.steps_off) <= _MOVED
    known = abs(entry.miss.steps - plain.miss.steps) > _MOVED
    on_purpose = as_decided and (known or not work.hangs)
    # Of the day before nobody knows what it left; what was read then and taken is no reason by itself.
    on_purpose |= work.steps_off is None and known and not _worse(bare, plain, change, limits)
    return None if on_purpose and not over else change


def _worse(bare: PreparedSource, entry: StackAdvice, change: Swap, limits: Limits) -> bool:
    off = entry.miss.steps
    return off > limits.tolerance_of(bare.source) + _MOVED and change.result.miss.steps <= off - WORTH_A_SWAP


def over_limit(bare: PreparedSource, work: Work, entry: StackAdvice, limits: Limits) -> str:
    """Say which limit a stack is over, as a sentence begins; empty where none.

    Of what hangs only that nothing may: other limits say what to add.
    """
    source, own = bare.source, limits.for_source(bare.source)
    added = list((Counter(entry.gels) - Counter(source.keep)).elements())
    if not added:
        return ""
    if why := source.no_gel:
        return f"no gel on it, {why.words}" if why.words else "no gel on it"
    if work.hangs:
        return ""
    excluded = {name.casefold() for name in own.exclude_families}
    if len(entry.gels) > own.max_layers:
        return f"{counted(own.max_layers, 'layer')} at most"
    if own.max_stops is not None and entry.stops > own.max_stops:
        return f"{counted(own.max_stops, 'stop')} lost at most"
    if out := next((family_of(name) for name in added if family_of(name).casefold() in excluded), None):
        return f"{out} is left out"
    if own.only_gels is not None and set(added) - set(own.only_gels):
        return "only what is cut for it"
    return ""
