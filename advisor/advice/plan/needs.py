"""What a head needs of the crew now: hands, a gel, the meter, or nothing."""

from collections.abc import Sequence
from enum import StrEnum

from ...model import Seen, Stage
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
    """Return the places of heads in the order of what they need; those alike stay as they are."""
    ranks = list(Needs)
    return sorted(range(len(needs)), key=lambda k: ranks.index(needs[k]))


def needs_of(head: PlannedSource) -> Needs:
    """Return what a head needs now."""
    if head.source.aim.leave and not head.hangs:
        return Needs.LEAVE
    best = head.best
    if best is not None and head.other_day:
        return Needs.METER
    if best is None or not head.answered or head.out or head.outdated:
        return Needs.HANDS
    if head.hangs:
        return _hanging(head)
    if best.gels or best.dial:
        return Needs.HANG
    return Needs.LEAVE if best.miss.seen in (Seen.MATCHES, Seen.CLOSE) else Needs.HANDS


def _hanging(head: PlannedSource) -> Needs:
    check = head.check
    if head.stage is Stage.CONFIRMED:
        return Needs.NOTHING
    if head.instead:
        return Needs.HANG
    if head.again and head.changed:
        return Needs.METER  # what to change follows from how it reads now
    if head.due:
        return Needs.HANDS
    if check is None or head.again or check.on_edge or head.bare_first:
        return Needs.METER
    return Needs.NOTHING if check.settled else Needs.HANDS
