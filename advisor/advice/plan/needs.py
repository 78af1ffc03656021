"""What a head needs now: hands, a gel, the meter, or nothing."""

from collections.abc import Iterable, Sequence
from enum import StrEnum

from ...model import Seen, Stage
from ..learned.light_here import unread_here
from .head import PlannedSource


class Needs(StrEnum):
    """What a head needs now; those to look at first come first."""

    HANDS = "hands"
    """Something is wrong, off or unsaid: somebody has to look, decide or swap."""
    HANG = "hang"
    METER = "meter"
    NOTHING = "nothing"
    """It is confirmed."""
    LEAVE = "leave"
    """It stays without gel, on purpose or because it matches as it is."""


def in_order(needs: Sequence[Needs]) -> list[int]:
    """Return the indices of heads in the order of what they need; those alike stay as they are."""
    ranks = list(Needs)
    return sorted(range(len(needs)), key=lambda k: ranks.index(needs[k]))


def needs_of_each(heads: Iterable[PlannedSource]) -> list[Needs]:
    """Return what each head needs now, as `needs_of` does."""
    return [needs_of(head) for head in heads]


def needs_of(head: PlannedSource) -> Needs:
    """Return what a head needs now: hands where its stand is to be moved, the meter once it was.

    One whose lamp is out needs nothing until it is back.
    """
    if head.source.lamp_out:
        return Needs.LEAVE
    if head.gel_on:
        return Needs.HANDS
    need, stand = _gel_needs(head), head.source.stand
    if need in (Needs.HANDS, Needs.HANG):
        return need
    if stand is not None and not stand.done:
        return Needs.HANDS
    return Needs.METER if unread_here(head.source) else need


def moves_stand(head: PlannedSource) -> bool:
    """Whether its stand is to be moved, and nothing else is to be done or decided there before."""
    stand = head.source.stand
    waits = stand is not None and not stand.done and not head.source.lamp_out
    return waits and _gel_needs(head) not in (Needs.HANDS, Needs.HANG)


def _gel_needs(head: PlannedSource) -> Needs:
    if head.source.aim.leave and not head.hangs:
        return Needs.LEAVE
    best = head.best
    if best is not None and head.other_day:
        return Needs.METER
    if best is None or not head.answered or head.out or head.outdated:
        return Needs.HANDS
    if head.hangs:
        return _hanging(head)
    if head.to_hang or best.dial:
        return Needs.HANG
    return Needs.LEAVE if best.miss.seen in (Seen.MATCHES, Seen.CLOSE) else Needs.HANDS


def _hanging(head: PlannedSource) -> Needs:
    check = head.check
    if head.turned:
        return Needs.HANDS
    if head.stage is Stage.CONFIRMED:
        return Needs.NOTHING
    if head.instead:
        return Needs.HANG
    if head.again and head.changed:
        return Needs.METER  # what to change follows from how it reads now
    if head.due:
        return Needs.HANDS
    if check is None or head.again or check.on_edge or head.asks_bare:
        return Needs.METER
    return Needs.NOTHING if check.settled else Needs.HANDS
