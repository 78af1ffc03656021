"""What several pages say of a head."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...advice.learned.light_here import by_distance
from ...advice.plan.head import PlannedSource
from ...advice.plan.plan import Plan
from ...advice.plan.questions import drifted
from ...advice.readings.dim_levels import GUESSED_THERE
from ...advice.wording.ladder import Ladder
from ...advice.wording.outlook import outlook
from ...model import Kind, Reading, Seen, Source, StackAdvice, WantedOffset
from ...model.sets.phrases import grouped, listed
from ..plans.since import Since
from ..wording.aims import aimed
from ..wording.otherwise import light_drifted
from ..wording.sources import duv_assumed, earlier_lux, lux_here, moved_lux, own_limits, stood
from ..wording.stacks import as_known, head_outlook
from ..wording.values import breakable, capitalize_first, gel, kelvin, lux, white_said

_FRACTIONS = "⅛¼½¾⅓⅔⅜⅝"


@dataclass(frozen=True)
class GelInWords:
    """A gel in large words: the first one, which may be a `fraction`, and the rest."""

    first: str
    rest: str
    fraction: bool


@dataclass(frozen=True)
class Light:
    """A white, CCT [K] and Duv, with its illuminance [lx]; `as_read` says that it is not predicted.

    `about` says that its light was read before its stand was moved.
    """

    cct: float | None
    duv: float | None
    lux: float | None = None
    as_read: bool = False
    about: bool = False


def gel_in_words(name: str) -> GelInWords:
    """Write a gel in large words."""
    first, _, rest = breakable(gel(name)).partition(" ")
    return GelInWords(first, rest, first in _FRACTIONS)


def light_after(head: PlannedSource) -> Light | None:
    """Return what a meter reads behind a head's stack, as read where that was; None without advice."""
    if head.turned:
        white = head.turned.white
        return Light(white.cct, white.duv, head.turned.reading.lux, as_read=True)
    if head.check:
        white = head.check.white
        return Light(white.cct, white.duv, head.check.reading.lux, as_read=True)
    if head.best is None:
        return None
    return replace(light_behind(head.best), about=by_distance(head.source))


def light_behind(stack: StackAdvice) -> Light:
    """Return what a meter reads behind a stack.

    Where that is predicted, its CCT is as sure as that.
    """
    after = stack.after
    sure = stack.read or not (stack.gels or stack.dial)
    cct = after.cct if sure or after.cct is None else as_known(after.cct, stack.uncertainty_steps)
    return Light(cct, after.duv, after.lux)


def light_predicted(head: PlannedSource) -> Light | None:
    """Return what a meter should read behind a head's stack, as it was predicted before it was read there.

    None without advice, and where nothing was predicted of its light.
    """
    if head.best is None or (head.check and head.check.unforeseen):
        return None
    then = head.check.promised if head.check else None
    if then is None:
        return light_behind(head.best)
    return Light(as_known(then.cct, then.uncertainty_steps), then.duv, then.lux)


def predicted_said(head: PlannedSource) -> str:
    """Say what it is that `light_predicted` tells, and of which light where that moved since."""
    if head.check is None:
        return "Now:" if head.due else "After:"
    work, then = head.source.work, head.check.promised or head.check.predicted
    old = head.check.promised or (work and then == work.predicted and work.read_bare != head.source.reading)
    if not (old and work and work.gels and work.read_bare and head.source.kind is Kind.DAYLIGHT):
        return "Predicted:"
    was = work.read_bare
    light = "the light before" if was.cct is None else kelvin(was.cct)
    return f"Predicted from {light}{f', {lux(was.lux)}' if was.lux else ''}:"


@dataclass(frozen=True)
class Quality:
    """How good a stack is: how plainly its miss is seen, the words for that, and the light lost [stop]."""

    seen: Seen
    words: str
    stops: float


def stack_quality(stack: StackAdvice) -> Quality:
    """Return how good a stack will be."""
    return Quality(stack.miss.seen, outlook(stack), stack.stops)


def head_quality(head: PlannedSource) -> Quality:
    """Return how good what hangs on a head is, as read where it was; else how good its stack will be."""
    assert head.seen is not None, "it has advice"
    return Quality(head.seen, head_outlook(head), head.lost)


def doubts_said(plan: Plan, i: int) -> str:
    """Say on paper what stands in the way of a head's match, to end a sentence; empty where nothing does.

    That is that nothing here does better, or that it reads otherwise than its gel and lamp explain.
    """
    head, check = plan.heads[i], plan.heads[i].check
    parts = ["the closest there is"] if head.closest_hangs else []
    unexplained = check and not (check.settled or check.on_edge or check.as_predicted or check.odd)
    parts += [light_drifted(head.source.kind)] if unexplained and drifted(plan, i) else []
    return "".join(f", {part}" for part in parts)


def aim_said(aim: WantedOffset, ladder: Ladder) -> str:
    """Say what is wanted of a source beside the target, to begin a sentence; empty where nothing is."""
    return "" if aim.plain and not aim.leave else capitalize_first(aimed(aim, ladder))


def gels_said(gels: Sequence[str]) -> str:
    """List gels as a crew says them: “¼ CTO and 2 × ½ plus green”."""
    return listed(grouped([gel(name) for name in gels]))


def worth_saying(head: PlannedSource, why: Since | None) -> Since | None:
    """Return why what was decided is not what is advised, where more is known than that it is so."""
    return why if why and (why.at or head.over) else None


def _set_elsewhere(source: Source, reading: Reading) -> bool:
    """Whether the dials of a head are set, and a reading of it is of another setting."""
    set_to = source.work.dial if source.work and source.work.hangs else None
    return set_to is not None and reading.dial not in (None, set_to)


def reads_said(head: PlannedSource, source: Source, ladder: Ladder) -> str:
    """Say what a head reads bare as it is used, what lamp it is, its limits, and what is wanted of it."""
    if head.white is None:
        return ""
    reading = head.source.reading
    bare = bool(source.hanging)
    reads = ("Bare, about" if bare else "About") if head.worked_out else "Bare it reads" if bare else "Reads"
    guessed = head.worked_out and any(note.endswith(GUESSED_THERE) for note in head.notes)
    if guessed:  # what it reads at the level in use nobody knows
        reads = "Bare it read" if bare else "It read"
    elif _set_elsewhere(source, reading) and not head.worked_out:
        reads = "Last it read"
    white = f"{reads} {white_said(head.white.cct, head.white.duv)}"
    figures = [white, lux_here(head.source), "at a level nobody noted" if guessed else stood(reading)]
    read = ", ".join(part for part in figures if part)
    aim = aim_said(source.aim, ladder)
    more = (duv_assumed(reading), moved_lux(head.source) or earlier_lux(source, reading))
    parts = [f"{read}.", *more, f"{source.kind.words}.", own_limits(source), f"{aim}." if aim else ""]
    return " ".join(part for part in parts if part)
