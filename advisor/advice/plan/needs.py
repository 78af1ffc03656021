"""What a head needs now: hands, a gel, the meter, or nothing."""

from collections.abc import Sequence
from enum import StrEnum


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
