"""The work order of a set: its pull list with the cuts at hand, its tasks, and who is at which head."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ....advice.plan.plan import Plan
from ....advice.pull_list.build import pull_list
from ....advice.pull_list.cutting import cut
from ....advice.pull_list.lines import PullList
from ....advice.pull_list.work_order import Task, WorkOrder, work_order
from ....model import Work
from ....model.gels.formats import ComesAs, Format
from ....store import StoredSet, StoredSource
from ....store.crew.heads_taken import HeadTaken
from ...access.sessions import person
from ...live.aside import owner
from ...state import formats_in_force, gels_in_force, state
from ..at_hand import at_hand_of
from ..kept import plan_for


def pulls_of(sets: Sequence[StoredSet], cut_from: Format | None = None, *, to_hang: bool = False) -> PullList:
    """Return the pull list of some sets, from one format if it is chosen. The spare is the first set's.

    Of those that are wrapped nothing is counted where only what is still `to_hang` is asked for.
    """
    plans = [replace(plan_for(one), heads=()) if to_hang and one.wrapped else plan_for(one) for one in sets]
    return pull_list(
        plans,
        gels_in_force(),
        formats_in_force().rows,
        spare_percent=sets[0].spare_percent,
        cut_from=cut_from,
        at_hand=[cut for one in sets for cut in at_hand_of(one)],
        walks=[one.walked if plan.heads else () for one, plan in zip(sets, plans, strict=True)],
    )


@dataclass(frozen=True, eq=False)
class OrderNow:
    """The work order of a set now: its plan, what is pulled, its tasks, and who is `at` a head, by its id."""

    now: StoredSet
    plan: Plan
    pulls: PullList
    order: WorkOrder
    at: Mapping[int, HeadTaken]

    def source(self, task: Task) -> StoredSource:
        """Return the source of a task."""
        return self.now.sources[task.head]

    def others(self) -> list[int]:
        """Return the indices of the heads that others are at."""
        mine = holder()
        return [
            k
            for k, one in enumerate(self.now.sources)
            if one.id in self.at and self.at[one.id].holder != mine
        ]

    def mine(self) -> Task | None:
        """Return the task that whoever asks is at; None if there is none, or nothing is left to do there."""
        me = holder()
        ids = {source_id for source_id, taken in self.at.items() if taken.holder == me}
        return next((task for task in self.order.tasks if self.source(task).id in ids), None)

    def may_go_to(self, source_id: int) -> bool:
        """Whether whoever asks may go to a head now: it can be done as it stands, and no other is at it."""
        found = (task for task in self.order.tasks if self.source(task).id == source_id)
        task = next(found, None)
        return task is not None and task.ready and not task.waits_for and task.head not in self.others()

    def next_after(self, source_id: int | None) -> Task | None:
        """Return where whoever asks goes next, after a head by its source's id; None if nothing is free."""
        index = next((k for k, one in enumerate(self.now.sources) if one.id == source_id), None)
        in_hand = "" if index is None else self.now.sources[index].source.name
        return self.order.ready_after(index, self.others(), in_hand)


def order_of(now: StoredSet) -> OrderNow:
    """Return the work order of a set."""
    plan, pulls = plan_for(now), pulls_of([now])
    return OrderNow(now, plan, pulls, work_order(plan, pulls, now.walked), state().taken.of_set(now.id))


def holder() -> str:
    """Return who takes a head: a phone, or somebody at the laptop, by the name that they gave there."""
    mine = owner()
    return f"{mine} {person().name}" if mine == "laptop" else mine


def reused_by(now: StoredSource, work: Work) -> list[str]:
    """Return for which gels of work that is hung now nothing is cut: cuts that are down serve."""
    owner_set = state().sets.get_set(now.set_id)
    index = owner_set.index_of(now.id)
    return [
        line.name
        for line in pulls_of([owner_set]).gels
        if line.name in work.gels
        for use in line.uses
        if use.index == (0, index) and use.reused and not use.waits_for
    ]


def sheets_of_layer(now: StoredSet, index: int, name: str) -> int:
    """Return how many sheets a layer of a gel takes on a head of a set, as its pull list cuts them."""
    lines = [line for line in pulls_of([now]).gels if line.name == name]
    size = next((g.size for g in lines if any(u.index == (0, index) for u in g.uses)), None)
    openings = [(one, 1) for one in now.sources[index].source.openings]
    if size is None or size.form is not ComesAs.SHEET or not openings:
        return 1
    return cut(openings, size).units
