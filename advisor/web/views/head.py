"""The page of one head: what to do in large words, how that stands, and what may be done next."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...advice.after_hanging.check import Check
from ...advice.after_hanging.next_move import Swap
from ...advice.after_hanging.slip import Slips
from ...advice.plan.head import PlannedSource
from ...advice.wording.ladder import Ladder
from ...model import KindQuestion, Reading, Setting, Source, StackAdvice, Stage, Work
from ...model.phrases import signed
from ..heads.since import Since
from ..wording.aims import wanted
from ..wording.sources import own_limits, stood
from ..wording.stacks import brighter, closest, hang
from ..wording.values import breakable, capitalize_first, duv, gel, kelvin, lux
from ..wording.work import check_first, doing, found, hung_now, swap, worked

_FRACTIONS = "⅛¼½¾⅓⅔⅜⅝"
_NBSP = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class GelInWords:
    """A gel in large words: the first one, which may be a `fraction`, and the rest."""

    first: str
    rest: str
    fraction: bool


@dataclass(frozen=True)
class Order:
    """What to do, read at arm's length: a verb, then gels or the figures of a dial, a line each."""

    verb: str
    sheets: tuple[GelInWords, ...] = ()
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Action:
    """A button for what was done or is decided: its `name` for the form, and the stack that it is about."""

    name: str
    words: str
    stack: StackAdvice | None = None
    main: bool = False


@dataclass(frozen=True, eq=False)
class FoundView:
    """What was found behind a stack.

    `says` stands beside the figures, `left` is what is left over where the target was not reached, `stuck`
    what to say where nothing here does better, and `then` what comes of the change, or of the `smaller` one.
    """

    alarming: bool
    drifted: bool
    headline: str
    says: str
    left: str
    stuck: str
    then: StackAdvice | None
    smaller: Swap | None


@dataclass(frozen=True, eq=False)
class StateView:
    """How the work on a head stands where nothing was read behind it: a word in bold, and what it means."""

    strong: str = ""
    says: str = ""
    wrong: bool = False
    then: StackAdvice | None = None


@dataclass(frozen=True, eq=False)
class HeadView:
    """What the page of one head says before its figures.

    `question` asks for the kind before anything is hung, `answer` says what comes first where dials are to
    be noted, and `fold` is under what the stack waits then; all are empty where the stack stands in sight.
    `first` is what to check before anything is changed, `if_right` what to do if that is right, and
    `struck_first` whether what was typed may be wrong. Else `orders` say what to do. `hangs_wrong` tells that
    what hangs is not what is wanted now, and `lead` what hangs where it is to be changed for another reason.
    """

    question: KindQuestion | None
    answer: str
    fold: str
    first: str
    if_right: str
    struck_first: bool
    orders: tuple[Order, ...]
    hangs_wrong: bool
    lead: str
    closest: str
    found: FoundView | None
    state: StateView
    due: tuple[Action, ...]
    next_steps: tuple[Action, ...]
    after_said: str
    reads: str
    instead: Action | None
    share: str


def head_view(
    head: PlannedSource,
    source: Source,
    ladder: Ladder,
    tolerance: float,
    *,
    why: Since | None,
    beyond_why: str,
    drifted: bool,
) -> HeadView:
    """Decide what the page of a head says; `source` is as it is stored, not as it is used.

    `why` is what changed since it was decided, `beyond_why` which limit keeps gel from bringing it in, and
    `drifted` whether it is not the lamp any more that was read bare. `tolerance` is the head's. [step]
    """
    question, due = head.asks, head.due
    first = check_first(head.check) if head.check else ""
    dials_first = head.dials_unknown and not question
    slip = head.check.slip if head.check else None
    near = closest(head)
    allocated = head.advice.allocated if head.advice else None
    return HeadView(
        question=question,
        answer=doing(head) if dials_first else "",
        fold="Nobody knows: show it anyway" if question else "Gel alone" if dials_first else "",
        first=first,
        if_right=_lower(swap(due)) if due else "",
        struck_first=slip is not None and slip.what is not Slips.BARE,
        orders=tuple(_to_change(due) if due else _to_hang(head)),
        hangs_wrong=due is not None and why is not None,
        lead=hung_now(source.work) if due and source.work and not first else "",
        closest=_with(near, beyond_why) if near else "",
        found=_found(head, first, beyond_why, drifted=drifted),
        state=_state(head, source, tolerance),
        due=tuple(_due(head, first)),
        next_steps=tuple(_next(head, source.work)),
        after_said="Predicted:" if head.check else "After:",
        reads=_reads(head, source, ladder),
        instead=_instead(source.work),
        share=allocated.words if allocated else "",
    )


def sheet(name: str) -> GelInWords:
    """Write a gel in large words."""
    first, _, rest = breakable(gel(name)).partition(" ")
    return GelInWords(first, rest, first in _FRACTIONS)


def _to_change(change: Swap) -> list[Order]:
    orders = [Order("Take off", _sheets(change.off))] if change.off else []
    orders += [Order("Set", lines=_dial(change.dial))] if change.dial else []
    hang = "Add" if change.adds_to else "Hang"
    return orders + ([Order(hang, _sheets(change.on))] if change.on else [])


def _to_hang(head: PlannedSource) -> list[Order]:
    stack = head.best
    if stack is None:
        return []
    orders = [Order("Dials at" if head.hangs else "Set", lines=_dial(stack.dial))] if stack.dial else []
    if stack.gels:
        return [*orders, Order(_verb(head), _sheets(stack.gels))]
    return orders or [Order("", lines=("Leave it bare",))]


def _verb(head: PlannedSource) -> str:
    """Return what is to be done with the gels of a head, or was."""
    if head.hangs:
        return "Hung"
    if head.out:
        return "Stays on"
    return "Planned earlier" if head.outdated else "Hang"


def _sheets(names: Sequence[str]) -> tuple[GelInWords, ...]:
    return tuple(sheet(name) for name in names)


def _dial(dial: Setting) -> tuple[str, ...]:
    return (kelvin(dial.cct), f"green {signed(dial.green)}") if dial.green else (kelvin(dial.cct),)


def _found(head: PlannedSource, first: str, beyond_why: str, *, drifted: bool) -> FoundView | None:
    check, change = head.check, head.swap
    if check is None:
        return None
    alarming = not (check.settled or check.as_predicted)
    stuck = not check.settled and change is not None and not change.some
    if check.mistake:
        says = f"It reads {check.mistake.reads} than predicted."
    else:
        says = "" if check.stops is None else f"{capitalize_first(brighter(check.stops))}."
    called = "As it hangs" if head.instead else found(check)
    return FoundView(
        alarming=alarming,
        drifted=alarming and drifted and not first,
        headline=f"{called}: {_white(check.white.cct, check.white.duv)}.",
        says=says,
        left="" if check.reached or head.instead else f"{capitalize_first(check.words)}.",
        stuck=_stuck(check, change, beyond_why) if stuck and change else "",
        then=change.result if change else None,
        smaller=check.smaller if head.due and not head.instead else None,
    )


def _stuck(check: Check, change: Swap, beyond_why: str) -> str:
    """Say that nothing here does better, and what is left to do: another lamp only where it is far off."""
    far = check.left > check.tolerance + _ANOTHER_LAMP
    ways = "Accept it, take another lamp, or allow" if far else "Accept it, or allow"
    return f"{_with(f'{swap(change)}.', beyond_why)} {ways} it a wider tolerance."


_ANOTHER_LAMP = 2.0
"""Nobody changes a lamp for less beyond the tolerance. [step] Our judgement."""


def _state(head: PlannedSource, source: Source, tolerance: float) -> StateView:
    work = source.work
    if work and not head.chosen:
        says = head.notes[-1] if head.notes else ""
        return StateView(f"{capitalize_first(worked(source))}.", says, wrong=True)
    if head.swap:
        return StateView(then=head.swap.result)
    if head.again:
        return StateView("Hung, to be read again.", f"{head.again}.")
    if work and work.stage is Stage.HUNG:
        return _to_confirm(work)
    if work is None or head.outdated:
        return StateView()
    if work.stage is Stage.PLANNED:
        return StateView("Planned.", " ".join(_planned(head, work, tolerance)))
    return StateView("Confirmed", "as it is.")


def _to_confirm(work: Work) -> StateView:
    if work.gels:
        return StateView("Hung.", "Read it behind what hangs, to confirm.")
    if work.dial:
        return StateView("Set.", "Read it as it is set, to confirm.")
    return StateView("Stays bare.", "Read it once more, to confirm.")


def _planned(head: PlannedSource, work: Work, tolerance: float) -> list[str]:
    """Say what a plan goes by where that is the day before, and what is advised now where that is else."""
    before, best, first = head.before, head.best, head.first
    parts = [f"The day before it read {_read_before(before)} behind it; this goes by that."] if before else []
    far = before is None or (best is not None and best.miss.steps > tolerance)
    if far and first and sorted(first.gels) != sorted(work.gels):
        parts.append(f"Advised now: {hang(first)}.")
    return parts


def _read_before(reading: Reading) -> str:
    known = reading.cct is not None and reading.duv is not None
    said = f"{kelvin(reading.cct)}, Duv {duv(reading.duv)}" if known else "what stands here"
    return f"{said}, {lux(reading.lux)}" if reading.lux else said


def _due(head: PlannedSource, first: str) -> list[Action]:
    """Return the buttons for what was told to be swapped, once it is: before anything else."""
    if not (change := head.due):
        return []
    smaller = head.check.smaller if head.check and not head.instead else None
    less = [Action("hung", "The smaller one is done", smaller.result)] if smaller else []
    return [Action("hung", "That is done", change.result, main=not first), *less]


def _next(head: PlannedSource, work: Work | None) -> list[Action]:
    best = head.best
    steps = [Action("plan", "Plan what is advised now", head.first, main=True)] if head.outdated else []
    if best and (work is None or work.stage is Stage.PLANNED):
        steps.append(Action("hung", _done(best), best, main=not head.outdated))
    if best and work is None:
        steps.append(Action("plan", "Keep to this plan", best))
    if head.instead:
        steps.append(Action("keep", "Keep what hangs"))
    elif head.stage is Stage.HUNG:
        steps.append(Action("confirm", "Confirm as it is"))
    if work:
        nothing_hangs = work.stage is Stage.PLANNED or not (work.gels or work.dial)
        steps.append(Action("clear", "Back to what is advised" if nothing_hangs else "It is taken off"))
    return steps


def _done(stack: StackAdvice) -> str:
    if stack.gels:
        return "It is hung"
    return "It is set" if stack.dial else "It stays bare"


def _instead(work: Work | None) -> Action | None:
    """Return what may be done with a runner-up; None where another one is planned already."""
    if work is None:
        return Action("plan", "Plan it")
    return None if work.stage is Stage.PLANNED else Action("hung", "It hangs instead")


def _reads(head: PlannedSource, source: Source, ladder: Ladder) -> str:
    """Say what a head reads as it is used, what lamp it is, its limits, and what is wanted of it."""
    if head.white is None:
        return ""
    reading = head.source.reading
    white = f"{'About' if head.worked_out else 'Reads'} {_white(head.white.cct, head.white.duv)}"
    figures = [white, lux(reading.lux), stood(reading)]
    read = ", ".join(part for part in figures if part)
    parts = [f"{read}.", f"{source.kind.words}.", own_limits(source), _aim(source, ladder)]
    return " ".join(part for part in parts if part)


def _aim(source: Source, ladder: Ladder) -> str:
    if source.aim.leave:
        return "Left as it is."
    return "" if source.aim.plain else f"Wanted {wanted(source.aim, ladder)} than the target."


def _white(cct: float | None, off: float | None) -> str:
    return f"{kelvin(cct)}, Duv{_NBSP}{duv(off)}"


def _with(said: str, more: str) -> str:
    return f"{said} {more}" if more else said


def _lower(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
