"""One task of the work order, on the page of its head: where its cuts are, what to mind, where to go next."""

from dataclasses import dataclass

from ....advice.plan.head import PlannedSource
from ....advice.wording.cautions import cautions
from ....store import StoredSet, StoredSource
from ...plans.onward.order import OrderNow, holder, order_of
from ...state import state
from .work_order import WhoIsThere, cuts_said, there_now, waits_said


@dataclass(frozen=True)
class TaskView:
    """A head that somebody is at. Only who is there is said, unless it is whoever asks.

    `said` is which task it is, `cuts` where its cuts are, `waits` what has to come down elsewhere first.
    `go_on` leads to the head after it, whose id is `onward`: None after the last one. `done` says that
    nothing is left to hang or to take down here.
    """

    there: WhoIsThere
    said: str = ""
    cuts: tuple[str, ...] = ()
    waits: str = ""
    go_on: str = ""
    onward: int | None = None
    done: bool = False


def task_view(owner: StoredSet, now: StoredSource) -> TaskView | None:
    """Return the task that a head is for whoever asks; None where nobody is at it."""
    taken = state().taken.of_set(owner.id).get(now.id)
    if taken is None:
        return None
    if taken.holder != holder():
        return TaskView(WhoIsThere(taken.who or "Somebody", taken.at))
    return _mine(order_of(owner), owner, now)


def mind_there(owner: StoredSet, now: StoredSource, head: PlannedSource) -> tuple[str, ...]:
    """Return what can hurt hands at a head where gel is to be hung or taken down; else nothing.

    It does not hang on who is at the head: a page that a phone kept says it to whoever opens it.
    """
    hangs = now.source.hanging or []
    to_hang = bool(head.to_hang) and not head.hangs
    if not (head.due or to_hang) or now.source.aim.leave:
        return ()
    gels = [name for stack in (head.best, head.due and head.due.result) if stack for name in stack.gels]
    as_hung = now.source.model_copy(update={"hung": [*hangs, *gels]})
    return tuple(one.at_the_head for one in cautions([as_hung], owner.hidden_cautions) if one.at_the_head)


def _mine(one: OrderNow, owner: StoredSet, now: StoredSource) -> TaskView | None:
    there = there_now(one, now.id)
    if there is None:  # freed between the lines
        return None
    k = one.order.task_index(owner.index_of(now.id))
    task = None if k is None else one.order.tasks[k]
    after = one.next_after(now.id)
    moves = task is not None and task.moves
    return TaskView(
        there=there,
        said="Work order" if k is None else f"Work order, task {k + 1} of {len(one.order.tasks)}",
        cuts=cuts_said(task) if task and task.ready else (),
        waits=waits_said(one, task) if task else "",
        go_on=f"Next: {one.source(after).source.name}" if after else "Finish the work order",
        onward=one.source(after).id if after else None,
        done=not moves,
    )
