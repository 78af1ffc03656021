"""Decisions that no longer fit what is wanted: a plan that is out of date, a stack that should not hang.

Only predictions count here; readings behind a stack are for `check`. A stack is wrong if it leaves a head
beyond its tolerance, and the advised stack leaves a step less. If somebody chose it knowing that, it is
right, unless something has changed since: its miss is no longer what it was when somebody decided, or nobody
knows what it was. A head that stays bare on purpose is right. A stack over a limit is always wrong.
"""

from collections import Counter

from ...model import Limits, SourceAdvice, StackAdvice, Stage, Work
from ...model.gels.gel import family_of
from ...model.sets.phrases import counted
from ..learned.taken import lit_otherwise
from ..stacks.prediction import PreparedSource
from .next_move import WORTH_A_SWAP, Swap, change_to, smallest

MOVED = 0.5
"""A miss that grew by less than this since it was planned or hung is left alone. [step] Our judgement."""


def stale(
    bare: PreparedSource,
    work: Work,
    entry: StackAdvice,
    plain: StackAdvice,
    first: StackAdvice,
    limits: Limits,
) -> Swap | None:
    """Return the change from `entry`, which was decided, to `first`, which is advised; None if it may stay.

    `plain` is the same stack predicted from the bare reading alone. If the two differ, `entry` rests on
    readings behind gels that the ranking does not know. Then it stays as long as its miss is the one that was
    decided on, and the light is the one that it was decided for. A stack that somebody confirmed stays until
    what is wanted changes (`change_unread`).
    """
    stays_bare = work.stage is Stage.HUNG and not (entry.gels or entry.dial)
    if work.stage is Stage.CONFIRMED or bare.source.aim.leave or stays_bare:
        return None
    change = change_to(entry, first)
    over = over_limit(bare, work, entry, limits)
    if not change.some or not (over or _worse(bare, entry, change, limits)):
        return None
    as_decided = work.steps_off is not None and abs(entry.miss.steps - work.steps_off) <= MOVED
    known = abs(entry.miss.steps - plain.miss.steps) > MOVED
    on_purpose = as_decided and (known or not work.hangs)
    # What was read the day before is no reason by itself to change a stack, nor is a miss that nobody knows.
    undecided = work.steps_off is None or work.read_day_before is not None
    on_purpose |= undecided and known and not _worse(bare, plain, change, limits)
    on_purpose &= not (work.read_bare and lit_otherwise(bare.source, work.read_bare, limits.accuracy))
    return None if on_purpose and not over else change


def _worse(bare: PreparedSource, entry: StackAdvice, change: Swap, limits: Limits) -> bool:
    off = entry.miss.steps
    return off > limits.tolerance_of(bare.source) + MOVED and change.result.miss.steps <= off - WORTH_A_SWAP


def over_limit(bare: PreparedSource, work: Work, entry: StackAdvice, limits: Limits) -> str:
    """Return the start of a sentence that says which limit a stack is over; empty if it is over none.

    For a stack that hangs, only the limit that no gel may hang counts. The others limit what is added.
    """
    source, own = bare.source, limits.for_source(bare.source)
    added = list((Counter(entry.gels) - Counter(source.keep)).elements())
    if not added:
        return ""
    if why := source.no_gel:
        return f"it {why.said}"
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


def change_unread(
    bare: PreparedSource, work: Work, entry: StackAdvice, answer: SourceAdvice, limits: Limits
) -> Swap | None:
    """Return what to change in what was decided, if what is wanted has changed since; None if it has not.

    It has changed if the stack is now predicted to leave more than it did when somebody decided on it.
    """
    tolerance, before = limits.tolerance_of(bare.source), work.steps_off
    if before is None or entry.miss.steps <= max(tolerance, before) + MOVED:
        return None
    best = answer.stacks[0] if bare.source.reach else smallest(entry.gels, answer, bare.least_stops)
    swap = change_to(entry, best)
    return swap if swap.some else None
