"""The invented sample, with its heads: added, and taken out again."""

from datetime import UTC, datetime

from ..sample import TESTED_BEFORE, sample_whole
from ..sample_heads import GROUP, sample_heads
from ..store.known_heads.known import StoredHead
from .state import State


def add_sample(state: State) -> int:
    """Add the sample set and its heads, and return the set's id; heads that are there are not doubled."""
    now = datetime.now(UTC)
    set_id = state.sets.whole.restore(sample_whole(now, _tested_at(state, now)), made=True)
    bring_heads_back(state)
    return set_id


def take_out_sample(state: State) -> list[int]:
    """Remove every sample set, and the sample's heads; return the sets' ids. All can be brought back."""
    for one in state.heads.list_heads():
        if _invented(one.stored):
            state.heads.delete_head(one.stored.id)
    return state.sets.remove_sample_sets()


def bring_heads_back(state: State) -> None:
    """Bring those of the sample's heads back that were removed, where no other has their name."""
    there = {one.stored.head.name for one in state.heads.list_heads()}
    for removed in state.heads.removed_heads():
        if _invented(removed) and removed.head.name not in there:
            state.heads.restore_head(removed.id)


def _tested_at(state: State, now: datetime) -> datetime:
    """Return when the sample's heads were tested: as those that are there were, so that they are the same."""
    known = [*(one.stored for one in state.heads.list_heads()), *state.heads.removed_heads()]
    begun = [
        test.begun_at
        for head in known
        if _invented(head) and head.head.name == sample_heads(now)[0].head.name
        for test in state.heads.tests_of(head.id)
    ]
    return datetime.fromisoformat(min(begun)) if begun else now - TESTED_BEFORE


def _invented(head: StoredHead) -> bool:
    return head.head.group == GROUP
