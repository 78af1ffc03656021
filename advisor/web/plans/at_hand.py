"""The cuts of a stored set that are down and hang nowhere now."""

from ...advice.pull_list.at_hand import Rehung, cuts_at_hand
from ...advice.pull_list.lines import LooseCut
from ...store import StoredSet
from ..state import state


def at_hand_of(now: StoredSet) -> tuple[LooseCut, ...]:
    """Return the cuts that came down on a set and hang nowhere now, as its record tells."""
    return cuts_at_hand(
        Rehung(
            change.source,
            change.openings,
            tuple(change.before.gels if change.before else ()),
            tuple(change.after.gels if change.after else ()),
            tuple(change.after.reused if change.after else ()),
        )
        for change in state().sets.record.hung(now.id)
    )
