"""The runners-up of a ranking as a page shows them: each with the sentence that says why it stands below."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...advice.plan.head import PlannedSource
from ...advice.ranking.explain import rank_of, stack_name, why
from ...advice.ranking.first_line import beats, likelier, plainer, surer
from ...advice.stacks.gel_arrays import GelArrays
from ...model import Limits, Setting, StackAdvice
from ...model.sets.phrases import counted
from ...store.tables.records import StoredReading
from .stacks import share_said
from .values import gel


@dataclass(frozen=True)
class RunnerUp:
    """A stack that is not the one to hang, why, and which other one than the first it looks the same as.

    `read_at` is when it was read behind; empty where it was not. `moves` says how many sheets lead to it from
    what hangs, once that was read.
    """

    stack: StackAdvice
    why: str
    same: str = ""
    read_at: str = ""
    moves: str = ""


def runners_up(head: PlannedSource, limits: Limits) -> list[RunnerUp]:
    """Return a head's other stacks, in ranked order; none where there is no advice.

    Nor of an adjustable head that was read behind what hangs: that says more of it than its ranking knows.
    """
    if head.advice is None or head.best is None or (head.check and head.source.reach):
        return []
    limits = limits.for_source(head.source)
    said = [_what(head.best), *([_what(head.swap.result)] if head.swap else [])]
    found: list[RunnerUp] = []
    stacks = head.advice.stacks
    # What its ranking predicts of the first is no reason beside what was metered behind it.
    metered = head.metered_as(stacks[0]) and not stacks[0].read
    above = "the first" if _what(head.best) == _what(stacks[0]) else stack_name(stacks[0], gel)
    for k, stack in enumerate(stacks):
        if _what(stack) in said or any(
            _alike(stack, other) for other in (head.best, *(f.stack for f in found))
        ):
            continue
        same = f"Looks the same as {stack_name(stacks[stack.same_as], gel)}." if stack.same_as else ""
        says = "" if metered else why(head.advice, 0, k, limits, gel, above) if k else _first(head)
        found.append(RunnerUp(stack, says, same, moves=_moves(stack) if head.check else ""))
    return found


def read_at(runners: Sequence[RunnerUp], readings: Sequence[StoredReading]) -> list[RunnerUp]:
    """Return the runners-up with when those were read that go by what was read behind them."""
    times = {tuple(sorted(kept.reading.gels)): kept.taken_at for kept in readings if kept.counts}

    def timed(runner: RunnerUp) -> RunnerUp:
        at = times.get(tuple(sorted(runner.stack.gels)), "") if runner.stack.read else ""
        return replace(runner, read_at=at)

    return [timed(runner) for runner in runners]


def at_first(runners: Sequence[RunnerUp]) -> tuple[list[RunnerUp], list[RunnerUp]]:
    """Return the runners-up to show at once, and the rest: the next few, and bare, always worth a look."""
    bare = min((runner.stack.layers for runner in runners), default=0)
    rest = [runner for runner in runners[_AT_FIRST:] if runner.stack.layers != bare]
    return [runner for runner in runners if not any(runner is other for other in rest)], rest


_AT_FIRST = 3


def placed(head: PlannedSource, entry: StackAdvice, limits: Limits, gel_arrays: GelArrays | None) -> str:
    """Say where a stack that was built by hand stands among a head's ranked ones."""
    if head.advice is None:
        return ""
    return rank_of(head.advice, entry, limits.for_source(head.source), gel, gel_arrays).words


def _alike(stack: StackAdvice, other: StackAdvice) -> bool:
    """Whether two are the same gels on dials so near to each other that nobody chooses between them."""
    return (
        stack.gels == other.gels
        and abs(stack.miss.steps - other.miss.steps) < _SAME_STEPS
        and abs(stack.stops - other.stops) < _SAME_STOPS
    )


_SAME_STEPS, _SAME_STOPS = 0.3, 0.05


def _moves(stack: StackAdvice) -> str:
    moved = stack.moves
    return counted(len(moved.take_off) + len(moved.hang), "move") if moved else ""


def _what(stack: StackAdvice) -> tuple[list[str], Setting | None]:
    """Return what makes a stack the same as another: its gels and its dials."""
    return sorted(stack.gels), stack.dial


def _first(head: PlannedSource) -> str:
    assert head.advice is not None and head.first is not None, "it has runners-up"
    if head.check:  # the next move says what to hang: one judge of what comes nearer
        likelier_near = head.advice.stacks[0] in head.listed_near
        return "" if head.check.settled or head.due or likelier_near else "Not likely to come nearer."
    if head.source.work:
        return "This is advised now." if _what(head.first) == _what(head.advice.stacks[0]) else ""
    if head.advice.allocated:
        return f"The best for it alone. {share_said(head.advice)}"
    cheapest = head.advice.stacks[0]
    if beats(head.first, cheapest):
        return "More layers, and farther off."
    if plainer(head.first, cheapest):
        return "More layers, and hardly likelier to be close."
    less_likely = likelier(head.first, cheapest) or surer(head.first, cheapest)
    return "Less likely to be close." if less_likely else ""
