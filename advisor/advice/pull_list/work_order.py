"""The work order of a set: head by head in the order of the walk, what comes off, what goes on, what is read.

It is made from the pull list, so that both count the same cuts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ...model import Setting, StandMove
from ..plan.head import PlannedSource
from ..plan.needs import Needs, moves_stand, needs_of
from ..plan.plan import Plan
from .lines import GelUse, LooseCut, PullList


@dataclass(frozen=True)
class CutsToHang:
    """The cuts of one gel that go up at a task: new ones, unless they are `reused` off some sources.

    Of new ones the truck is `short` so many sheets, over all who take of them.
    """

    gel: str
    use: GelUse
    short: int = 0

    @property
    def cuts(self) -> int:
        """How many there are."""
        return self.use.cuts

    @property
    def reused(self) -> tuple[str, ...]:
        """The sources whose cuts they are; none if they are cut anew."""
        return self.use.reused


@dataclass(frozen=True)
class Task:
    """One head of the walk, by its index in the plan: what comes `off`, what to `hang`, where dials go.

    `stand` is where its stand goes; None where that stays.
    `waits_for` are the heads, by their indices, off which a cut has yet to come that goes up here. It is
    `ready` if nothing is to be asked or decided before.
    """

    head: int
    need: Needs
    off: tuple[str, ...]
    hang: tuple[CutsToHang, ...]
    dial: Setting | None
    ready: bool
    waits_for: tuple[int, ...] = ()
    stand: StandMove | None = None

    @property
    def moves(self) -> bool:
        """Whether anything comes off, goes on or is set; else it is only metered or looked at."""
        return bool(self.off or self.hang or self.dial or self.stand)


@dataclass(frozen=True)
class WorkOrder:
    """The tasks of a walk in their order, and the cuts that are left over once all is done."""

    tasks: tuple[Task, ...]
    back: tuple[LooseCut, ...]

    def task_index(self, head: int) -> int | None:
        """Return which task a head is, from 0; None if nothing is to be done there."""
        return next((k for k, task in enumerate(self.tasks) if task.head == head), None)

    def ready_after(self, head: int | None, but: Iterable[int] = (), in_hand: str = "") -> Task | None:
        """Return the next task where somebody can go to work, after that of a head and around the end.

        A task that takes cuts off the source `in_hand` goes first. Heads in `but` are left out, and those
        that wait for a cut off another; None if there is none.
        """
        found = None if head is None else self.task_index(head)
        start = 0 if found is None else found + 1
        around = [*self.tasks[start:], *self.tasks[:start]]
        there = [s for s in around if s.ready and not s.waits_for and s.head not in (*but, head)]
        return next(
            (s for s in there if any(in_hand in one.reused for one in s.hang)), next(iter(there), None)
        )


def work_order(plan: Plan, pulls: PullList, walk: Sequence[int]) -> WorkOrder:
    """Return the work order of the first set of a pull list. `walk` are its heads' indices, each once.

    The walk stays as the crew has it, but for a head that waits for a cut off a later one: it comes right
    after that. Heads of which nothing is to be done are no tasks.
    """
    tasks = [task for index in walk if (task := _task(index, plan.heads[index], pulls))]
    return WorkOrder(tuple(_in_turn(tasks)), pulls.back)


def _task(index: int, head: PlannedSource, pulls: PullList) -> Task | None:
    own = [
        CutsToHang(line.name, use, line.short if use.new else 0)
        for line in pulls.gels
        for use in line.uses
        if use.index == (0, index) and not use.hangs
    ]
    off = tuple(gel for one in pulls.off if (one.plan, one.head) == (0, index) for gel in one.gels)
    need, dial = needs_of(head), _dial(head)
    task = Task(
        head=index,
        need=need,
        off=off,
        hang=tuple(own),
        dial=dial,
        ready=_ready(head, need),
        waits_for=tuple(dict.fromkeys(giver for one in own for _, giver in one.use.waits_for)),
        stand=stand if (stand := head.source.stand) and not stand.done else None,
    )
    return task if task.moves or need in (Needs.HANDS, Needs.HANG, Needs.METER) else None


def _dial(head: PlannedSource) -> Setting | None:
    """Return the setting that the dials of a head go to now; None where they stay."""
    if head.due:
        return head.due.dial
    waits = head.hangs or not head.answered or head.best is None
    return None if waits or head.best is None else head.best.dial


def _ready(head: PlannedSource, need: Needs) -> bool:
    """Whether somebody can do it as it stands, with nothing to be asked or decided before."""
    if moves_stand(head):
        return True
    if need is Needs.HANDS:
        odd = head.check is not None and not (head.check.as_predicted or head.check.on_edge)
        return head.due is not None and not odd
    return need is not Needs.NOTHING


def _in_turn(tasks: Sequence[Task]) -> list[Task]:
    """Put each task that waits for another right after it; the others stay as they are."""
    done: list[Task] = []
    waiting: list[Task] = []
    for task in tasks:
        waiting.append(task)
        while free := next((s for s in waiting if not _waits(s, tasks, done)), None):
            waiting.remove(free)
            done.append(free)
    return done


def _waits(task: Task, tasks: Sequence[Task], done: Sequence[Task]) -> bool:
    here = {one.head for one in tasks} - {one.head for one in done}
    return bool(here & set(task.waits_for))
