"""The work order on its page: task by task what to do, with whose cuts, and who is there; the walk."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ....advice.plan.head import PlannedSource
from ....advice.plan.needs import Needs
from ....advice.pull_list.work_order import CutsToHang, Task
from ....advice.wording.cautions import Caution, cautions
from ....model.sets.phrases import counted, grouped, listed
from ...plans.onward.order import OrderNow, holder
from ...wording.board import STATE_SAID, brief
from ...wording.values import capitalize_first, gel
from ..heads import Quality, head_quality, stack_quality


@dataclass(frozen=True)
class WhoIsThere:
    """Somebody who is at a head: `who`, empty where it is whoever asks, and since when."""

    who: str
    since: str


@dataclass(frozen=True)
class TaskRow:
    """A task: its source's id, number and name, what it needs in words, where its cuts are, who is there.

    `good` is how good what goes up there will be; None where nothing is hung or set, or somebody looks first.
    """

    id: int
    number: int
    name: str
    needs: Needs
    state: str
    what: str
    good: Quality | None
    cuts: tuple[str, ...]
    there: WhoIsThere | None
    free: bool


@dataclass(frozen=True)
class WalkRow:
    """A head of the walk by its number: `first` and `last` cannot go up or down."""

    number: int
    name: str
    first: bool
    last: bool


@dataclass(frozen=True)
class OrderPage:
    """The work order: `heading` counts, `begin` is where to go now, by a source's id and in words.

    `goes_on` says that whoever asks is there already. `waiting` says why nothing is free, where that is so,
    `missed` why the head that was asked for was not taken.
    `walk` is the order of all heads, `cautions` what can hurt people at the tasks.
    """

    heading: str
    counts: str
    begin: tuple[int, str] | None
    goes_on: bool
    waiting: str
    missed: str
    rows: tuple[TaskRow, ...]
    cuts: tuple[str, ...]
    walk: tuple[WalkRow, ...]
    cautions: tuple[Caution, ...]


def order_page(one: OrderNow, missed: int | None = None) -> OrderPage:
    """Return the page of a work order, for whoever asks; who asked for a head, by its id, `missed` it."""
    tasks = one.order.tasks
    mine = one.mine()
    begin = mine or one.next_after(None)
    return OrderPage(
        heading="Work order" if tasks else "Nothing to do on the heads",
        counts=_counts(tasks),
        begin=(one.source(begin).id, one.source(begin).source.name) if begin else None,
        goes_on=mine is not None,
        waiting="" if begin or not tasks else _waiting(one),
        missed="" if missed is None else _missed(one, missed),
        rows=tuple(_row(one, task) for task in tasks),
        cuts=tuple(_cuts(one)),
        walk=_walk(one),
        cautions=tuple(cautions([one.source(s).source for s in tasks], one.now.hidden_cautions)),
    )


def cuts_said(task: Task) -> tuple[str, ...]:
    """Say of each gel that goes up at a task where its cuts are: “¼ CTO: off Window, it comes down there”."""
    return tuple(_where(one) for one in task.hang)


def _where(one: CutsToHang) -> str:
    many = f"{one.cuts} × {gel(one.gel)}" if one.cuts > 1 else gel(one.gel)
    if not one.reused:
        short = f", {counted(one.short, 'sheet')} short" if one.short else ""
        return capitalize_first(f"{many} from the truck{short}")
    covers = "" if one.use.openings else ", if it is large enough"
    return capitalize_first(f"{many} that hung on {listed(one.reused)}{covers}")


def waits_said(one: OrderNow, task: Task) -> str:
    """Say which heads have to give their gel first; empty where none has to."""
    names = [one.now.sources[index].source.name for index in task.waits_for]
    return f"First take it down there: {listed(names)}." if names else ""


def there_now(one: OrderNow, source_id: int) -> WhoIsThere | None:
    """Return who is at a head; None where nobody is."""
    taken = one.at.get(source_id)
    if taken is None:
        return None
    return WhoIsThere("" if taken.holder == holder() else taken.who or "Somebody", taken.at)


def _missed(one: OrderNow, source_id: int) -> str:
    """Say why a head was not taken: another one is there, or nothing is left to do; empty where it may be."""
    name = next((each.source.name for each in one.now.sources if each.id == source_id), "")
    there = there_now(one, source_id)
    if not name or one.may_go_to(source_id):
        return ""
    if there and there.who:
        return f"{there.who} is at {name}. Go to another one."
    tasks = [one.source(task).id for task in one.order.tasks]
    return f"{name} has to wait." if source_id in tasks else f"Nothing is left to do at {name}."


def _counts(tasks: Sequence[Task]) -> str:
    moving = [task for task in tasks if task.moves and task.ready]
    moves = sum(_moves(task) for task in moving)
    meter = sum(task.need is Needs.METER for task in tasks)
    parts = [f"{counted(moves, 'move')} on {counted(len(moving), 'head')}"] if moving else []
    parts += [f"{meter} to meter"] if meter else []
    ask = sum(not task.ready for task in tasks)
    parts += [f"{ask} to look at first"] if ask else []
    return f"{capitalize_first(', '.join(parts))}." if parts else ""


def _moves(task: Task) -> int:
    return (
        len(task.off)
        + sum(one.use.layers for one in task.hang)
        + (task.dial is not None)
        + (task.stand is not None)
    )


def _waiting(one: OrderNow) -> str:
    """Say why nobody else is needed now."""
    if one.others():
        return "Nothing is free: others are at the heads that are left."
    return "Nothing to climb for: somebody has to look or decide first."


def _row(one: OrderNow, task: Task) -> TaskRow:
    stored, head = one.source(task), one.plan.heads[task.head]
    waits = waits_said(one, task)
    there = there_now(one, stored.id)
    return TaskRow(
        id=stored.id,
        number=stored.number,
        name=stored.source.name,
        needs=task.need,
        state=STATE_SAID[task.need].capitalize(),
        what=brief(head, task.need),
        good=_good(head, task),
        cuts=(*(cuts_said(task) if task.ready else ()), *([waits] if waits else ())),
        there=there,
        free=task.ready and there is None,
    )


def _good(head: PlannedSource, task: Task) -> Quality | None:
    """Return how good a task's change will be, as the page of its head says it."""
    if not (task.ready and (task.hang or task.off or task.dial)):
        return None
    if head.due:
        return stack_quality(head.due.result)
    return None if head.best is None else head_quality(head)


def _cuts(one: OrderNow) -> Iterator[str]:
    """Say what comes from the truck, what is used again, and what goes back, over all tasks.

    What hangs still is told apart from what is down.
    """
    new = [gel(g.name) for g in one.pulls.gels for _ in range(g.to_cut)]
    again = [gel(g.name) for g in one.pulls.gels for use in g.uses if use.reused for _ in range(use.cuts)]
    down = [gel(cut.gel) for cut in one.order.back if cut.off is None]
    up = [gel(cut.gel) for cut in one.order.back if cut.off is not None]
    told = ("From the truck", new), ("Used again", again), ("Back to the truck", down), ("Back once down", up)
    for words, names in told:
        if names:
            yield f"{words}: {listed(grouped(names))}."


def _walk(one: OrderNow) -> tuple[WalkRow, ...]:
    stored = [one.now.sources[index] for index in one.now.walked]
    last = len(stored) - 1
    return tuple(
        WalkRow(each.number, each.source.name, first=k == 0, last=k == last) for k, each in enumerate(stored)
    )
