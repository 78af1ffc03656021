"""How a head stands: its lamp, what was found behind its stack, what may be wrong, what is next."""

from dataclasses import dataclass

from ...advice.after_hanging.check import Check
from ...advice.after_hanging.next_move import Swap
from ...advice.dials.turned_since import TurnedSince
from ...advice.learned.light_here import as_metered, read_here
from ...advice.plan.head import PlannedSource
from ...advice.wording.outlook import NEAR
from ...model import Kind, Reading, Source, StackAdvice, Stage, Work
from ..wording.otherwise import light_drifted, read_turned
from ..wording.short import off_as
from ..wording.stacks import brighter, hang
from ..wording.values import capitalize_first, duv, kelvin, lower_first, lux, plain, white_said
from ..wording.work import bare_first, found, swap, worked


@dataclass(frozen=True, eq=False)
class FoundView:
    """What was found behind a stack.

    `drifted` says that its light did, empty where nothing says so, and `look` what to look at then. `says`
    stands beside the figures, `left` is what is left over where the target was not reached, `stuck` what to
    say where nothing here does better, and `then` what comes of the change, or of the `smaller` one.
    """

    alarming: bool
    drifted: str
    look: str
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


def found_view(
    head: PlannedSource,
    first: str,
    beyond_why: str,
    *,
    drifted: bool,
    bare_since: bool = False,
    lamp_helps: bool = True,
) -> FoundView | None:
    """Return what was found behind a head's stack; None where nothing was.

    `first` is what to check before anything is changed, `beyond_why` which limit keeps gel from bringing it
    in, and `drifted` whether it is not the lamp any more that was read bare. `bare_since` tells that it was
    read bare after it was read behind what hangs. `lamp_helps` tells that a lamp on sale does better.
    """
    check, change = head.check, head.swap
    if head.turned:
        return _turned(head.turned, change)
    if check is None:
        return None
    alarming = not (check.settled or check.as_predicted or check.on_edge)
    doubted = alarming and drifted and not first
    nothing = (head.bare_first and not check.lamp_first) or (change is not None and not change.some)
    stuck = nothing and not (check.settled or check.other_sign)
    if check.mistake:
        says = f"It reads {check.mistake.reads} than predicted."
    else:
        says = "" if check.stops is None else f"{capitalize_first(brighter(check.stops))}."
    dimmed = alarming and check.level_unsaid
    called = "As it hangs" if head.instead else "Metered" if check.unforeseen else found(check)
    return FoundView(
        alarming=alarming,
        drifted=_drifted(head, check) if doubted or dimmed else "",
        look=_SAY_LEVEL if dimmed else _look(head.source, bare_since=bare_since),
        headline=f"{called}: {white_said(check.white.cct, check.white.duv)}.",
        says=says,
        left="" if check.reached or head.instead else f"{capitalize_first(off_as(check.words))}.",
        stuck=_stuck(head, check, change, beyond_why, lamp_helps=lamp_helps) if stuck else "",
        then=change.result if change and (change.some or not check.other_sign) else None,
        smaller=check.smaller if head.due and not head.instead else None,
    )


def _turned(turned: TurnedSince, change: Swap | None) -> FoundView:
    """Return how a head stood that was read last with its dials turned."""
    white, near = turned.white, turned.seen in NEAR
    return FoundView(
        alarming=True,
        drifted="",
        look="",
        headline=f"{read_turned(turned)}: {white_said(white.cct, white.duv)}.",
        says="",
        left="" if near else f"{capitalize_first(off_as(turned.words))}.",
        stuck="" if change and change.some else "Set it back, or choose again.",
        then=change.result if change and change.some else None,
        smaller=None,
    )


_SAY_LEVEL = "Was it dimmed? Say below at which level it is used."


def _drifted(head: PlannedSource, check: Check) -> str:
    if check.level_unsaid:
        return f"It was read at {plain(check.reading.level)} %."
    return f"{capitalize_first(light_drifted(head.source.kind))}."


def _look(source: Source, *, bare_since: bool) -> str:
    parts = [] if source.kind is Kind.DAYLIGHT else ["Check what hangs, and its level."]
    if not bare_since:
        again = " again" if any(not one.tested_at for one in source.bare_readings) else ""
        parts.append(f"To know, read it bare{again}. Until then this goes by what it reads now.")
    return " ".join(parts)


def _stuck(
    head: PlannedSource, check: Check, change: Swap | None, beyond_why: str, *, lamp_helps: bool
) -> str:
    """Say that nothing here does better, or nobody knows what; and what is left to do.

    Another lamp is told only where it is far off and a lamp on sale does better, as on the page of lamps.

    What may be nearer, and is not likely to be, is in the list beside it.
    """
    if head.bare_first or change is None:
        said = f"{bare_first(head)} Then this says what to change."
        meanwhile = check.swap if head.unlike_test and check.swap and check.swap.some else None
        return f"{said} If you can’t: {lower_first(swap(meanwhile))}." if meanwhile else said
    if head.listed_near:
        return "Another stack is likelier to come close. Choose it, or accept this one."
    listed = head.advice.stacks if head.advice else []
    others = (stack for stack in listed if not (stack.read or head.metered_as(stack)))
    maybe = any(stack.miss.expected_steps < check.left for stack in others)
    said = "Nothing here is likely to come nearer" if maybe else swap(change)
    other = lamp_helps and check.left > check.tolerance + _ANOTHER_LAMP
    ways = "Accept it, take another lamp, or allow" if other else "Accept it, or allow"
    parts = [f"{said}.", beyond_why, f"{ways} it a wider tolerance."]
    return " ".join(part for part in parts if part)


_ANOTHER_LAMP = 2.0
"""Nobody changes a lamp for less beyond the tolerance. [step] Our judgement."""


def state_view(head: PlannedSource, source: Source, tolerance: float) -> StateView:
    """Return how the work on a head stands; `source` is as it is stored. `tolerance` is the head's. [step]"""
    work = source.work
    if work and not head.chosen:
        says = head.notes[-1] if head.notes else ""
        return StateView(f"{capitalize_first(worked(source))}.", says, wrong=True)
    if head.again and head.changed:
        return StateView("Hung, to be read again.", f"{head.again}.")
    if head.swap:
        return StateView(then=head.swap.result)
    if head.again:
        return StateView("Hung, to be read again.", f"{head.again}.")
    if work and work.stage is Stage.HUNG:
        return _to_confirm(work)
    if work is None or head.outdated:
        return StateView()
    if not work.hangs:
        return StateView("Planned.", " ".join(_planned(head, work, tolerance)))
    return StateView("Confirmed", "as it is.")


def _to_confirm(work: Work) -> StateView:
    if work.gels:
        return StateView("Hung.", "Meter it with the gel on.")
    if work.dial:
        return StateView("Set.", "Meter it as it is set.")
    return StateView("Stays bare.", "Meter it once more.")


def _planned(head: PlannedSource, work: Work, tolerance: float) -> list[str]:
    """Say that a plan goes by the day before, where it does; and what is advised now, where that differs."""
    before, best, first = head.before, head.best, head.first
    parts = [f"With gel, it read {_read_before(before, head.source)}. This goes by that."] if before else []
    far = before is None or (best is not None and best.miss.steps > tolerance)
    if far and first and sorted(first.gels) != sorted(work.gels):
        parts.append(f"Advised now: {hang(first)}.")
    return parts


def _read_before(reading: Reading, source: Source) -> str:
    """Say what was read the day before, as it was metered then, and that its stand was moved since."""
    known = reading.cct is not None and reading.duv is not None
    said = f"{kelvin(reading.cct)}, Duv {duv(reading.duv)}" if known else "what stands here"
    metered = as_metered(reading).lux
    said = f"{said}, {lux(metered)}" if metered else said
    return f"{said} the day before{'' if read_here(source, reading) else ', where it stood then'}"
