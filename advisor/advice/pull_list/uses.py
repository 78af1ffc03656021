"""What the heads of a plan take of each gel, what comes off them, and when the walk comes to each."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ...model import StackAdvice
from ..plan.head import PlannedSource
from ..plan.plan import Plan
from .lines import GelUse, HeadIndex, LooseCut, Removal
from .reuse import cuts_off, with_reused


@dataclass(frozen=True)
class GelsTaken:
    """What is taken of each gel, with the cuts that serve again marked; what comes `off`, and goes `back`."""

    uses: Mapping[str, Sequence[GelUse]]
    off: tuple[Removal, ...]
    back: tuple[LooseCut, ...]


@dataclass(frozen=True)
class HeadMoves:
    """What is done at a head: gels that hang and `stay`, come `off`, and go `on`.

    `hangs` is false of a head on which nothing was hung yet; there its fixed gels stay.
    """

    stay: tuple[str, ...]
    off: tuple[str, ...]
    on: tuple[str, ...]
    hangs: bool = True


def taken_by(
    plans: Sequence[Plan],
    at_hand: Sequence[LooseCut] = (),
    walks: Sequence[Sequence[int]] = (),
    moves: Mapping[HeadIndex, HeadMoves] | None = None,
) -> GelsTaken:
    """Add up what the heads of plans take. Cuts `at_hand`, and those that come down, serve before new ones.

    `walks` are the indices of each plan's heads in the order in which somebody goes to them; left out, it is
    the plan's. `moves` stand in the place of what is planned for some heads. A pull list, a work order and
    a way on all count their cuts by this.
    """
    taken: dict[str, list[GelUse]] = {}
    off = []
    for p, plan in enumerate(plans):
        for h, head in enumerate(plan.heads):
            done = (moves or {}).get((p, h)) or _planned(head)
            off += [Removal(p, h, head.source.name, done.off)] if done.off else []
            for name, use in _uses(p, h, head, done):
                taken.setdefault(name, []).append(use)
    down = cuts_off((one, plans[one.plan].heads[one.head].source.openings) for one in off)
    order = walks or [range(len(plan.heads)) for plan in plans]
    ranks = {index: rank for rank, index in enumerate((p, h) for p, walk in enumerate(order) for h in walk)}
    names = {plans[p].heads[h].source.name: rank for (p, h), rank in reversed(ranks.items())}
    served, back = with_reused(taken, [*at_hand, *down], ranks, names)
    return GelsTaken(served, tuple(off), back)


def layers_of(stack: StackAdvice | None) -> Counter[str]:
    """Return how many layers a stack has of each gel."""
    return Counter(stack.gels if stack else ())


def _planned(head: PlannedSource) -> HeadMoves:
    """Return what is planned for a head, as its own page tells it.

    What comes off in a swap that is due is on the truck again.
    """
    if head.advice is None and head.chosen is None and (hangs := head.source.work) and hangs.hangs:
        return HeadMoves(tuple(hangs.gels), (), ())  # what it does nobody can say, and it is up
    # Nobody carries gel to a head that it cannot bring in, with an open question, or to be metered first.
    # Fixed gels hang anyway, and what hangs stays.
    nobody = head.out or not (head.answered or head.hangs)
    gels = Counter(head.source.keep) if nobody else layers_of(head.best)
    if not head.hangs:
        fixed = head.fixed_in(gels.elements())
        return HeadMoves(tuple(fixed.elements()), (), tuple((gels - fixed).elements()), hangs=False)
    swap = head.due
    stay = tuple((gels - Counter(swap.off) if swap else gels).elements())
    return HeadMoves(stay, swap.off if swap else (), swap.on if swap else ())


def _uses(plan: int, index: int, head: PlannedSource, done: HeadMoves) -> Iterator[tuple[str, GelUse]]:
    swapped = done.off if done.hangs else None
    use = GelUse(plan, index, head.source.name, 0, tuple(head.source.openings), hangs=True)
    for name, layers in Counter(done.stay).items():
        yield name, replace(use, layers=layers)
    for name, layers in Counter(done.on).items():
        yield name, replace(use, layers=layers, hangs=False, swapped=swapped)
