"""What the truck has too little of for one head, as its pull list counts it, and what there is instead."""

from dataclasses import dataclass

from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....advice.pull_list.lines import GelPull
from ....advice.stacks.gel_arrays import PLENTY
from ....model import StackAdvice
from ....model.sets.phrases import counted
from ....store import StoredSet
from ...plans.onward.order import pulls_of
from ...wording.stacks import to_hang
from ...wording.values import capitalize_first, gel
from .pull_list import shortages


@dataclass(frozen=True, eq=False)
class StockShort:
    """A gel of which there is too little for a head: that it is `said`, and what to hang `instead`.

    `words` name that stack, and `left` says what stays short with it; without one, `words` say that nothing
    else stays within the stock, or are empty where nobody looked: what hangs there is to be changed.
    """

    said: str
    words: str
    instead: StackAdvice | None = None
    left: str = ""


def short_there(owner: StoredSet, plan: Plan, i: int) -> tuple[StockShort, ...]:
    """Return what is short for a head of a set, by its index, with all heads' gels cut from one stock.

    Sharing a stock counts a sheet for each layer. How many sheets a layer takes over all openings, and which
    cuts that come down serve again, the pull list alone knows: so both say the same to the sheet.
    """
    if not _counted(plan, i):
        return ()
    short = [line for line in pulls_of([owner]).gels if line.short]
    ours = [line for line in short if any(use.index == (0, i) and use.new for use in line.uses)]
    return tuple(_said(line, plan.heads[i], i) for line in ours)


def short_on_set(owner: StoredSet, plan: Plan) -> str:
    """Say for the board of a set what the truck has too little of; empty where there is none."""
    if owner.wrapped or plan.gel_arrays is None or not (plan.gel_arrays.stock < PLENTY).any():
        return ""
    counted = any(_counted(plan, i) for i in range(len(plan.heads)))
    return shortages(pulls_of([owner])) if counted else ""


def _counted(plan: Plan, i: int) -> bool:
    """Whether a head is to get a gel of which the truck's sheets were counted."""
    gels = plan.gel_arrays
    if gels is None:
        return False
    known = [name for name in going_up(plan.heads[i]) if name in gels.names]
    return bool(known) and bool((gels.stock[gels.find(known)] < PLENTY).any())


def going_up(head: PlannedSource) -> tuple[str, ...]:
    """Return the gels that are to go up on a head now."""
    if head.due:
        return head.due.on
    return () if head.hangs else head.to_hang


def _said(line: GelPull, head: PlannedSource, i: int) -> StockShort:
    said = short_said(line)
    other = next((one for one in line.instead if (one.plan, one.head) == (0, i)), None)
    if other is None:
        free = any(use.index == (0, i) and use.free for use in line.uses)
        return StockShort(said, "Nothing else here stays within the stock." if free else "")
    left = line.short - other.frees
    words = f"{to_hang(head, other.stack)} instead"
    return StockShort(said, words, other.stack, f"Still {left} short." if left > 0 else "")


def short_said(line: GelPull) -> str:
    """Say how much of a gel the truck lacks: “½ CTO is 4 sheets short, the truck has 3.”"""
    many = counted(line.short, line.size.form.value)
    return f"{capitalize_first(gel(line.name))} is {many} short, the truck has {line.stock}."
