"""What a stack is, and how good it is or will be, in a sentence."""

from collections import Counter
from collections.abc import Sequence

from ...advice.answer.reached import BEYOND
from ...advice.plan.head import PlannedSource
from ...advice.wording.outlook import closest as closest_of
from ...advice.wording.outlook import outlook
from ...model import Kind, Limits, Seen, Source, SourceAdvice, StackAdvice
from ...model.sets.phrases import dial_said, grouped, listed, measured
from .short import off_as
from .values import capitalize_first, gel, lost, stops

LAMP_OUT, LIGHT_GONE = "lamp out", "light gone"
"""How a head stands that gives no light until its lamp was changed; a window, until it is back."""


def out_said(source: Source) -> str:
    """Say how a source stands that gives no light: nobody changes a lamp in a window."""
    return LIGHT_GONE if source.kind is Kind.DAYLIGHT else LAMP_OUT


def hang(stack: StackAdvice) -> str:
    """Say what to do, in one sentence."""
    gels = listed(grouped([gel(name) for name in stack.gels]))
    if stack.dial:
        return f"Set {dial_said(stack.dial)}" + (f" and hang {gels}" if gels else "")
    return f"Hang {gels}" if gels else "Stays bare"


def to_hang(head: PlannedSource, stack: StackAdvice) -> str:
    """Say what to hang of a stack, and what stays on: “Hang full CTB, ½ diffusion stays on”."""
    fixed, rest = fixed_apart(head, stack)
    if not fixed:
        return hang(stack)
    stays = stays_on(fixed)
    return f"{hang(rest)}, {stays}" if rest.gels or rest.dial else capitalize_first(stays)


def fixed_apart(head: PlannedSource, stack: StackAdvice) -> tuple[list[str], StackAdvice]:
    """Return the fixed gels of a stack, if they are on a head on which nothing was hung yet, and the rest."""
    fixed = head.fixed_in(stack.gels)
    rest = Counter(stack.gels) - fixed
    return list(fixed.elements()), stack.model_copy(update={"gels": list(rest.elements())})


def stays_on(fixed: Sequence[str]) -> str:
    """Say that fixed gels stay: “½ diffusion stays on”."""
    return f"{listed(grouped([gel(name) for name in fixed]))} {'stays' if len(fixed) == 1 else 'stay'} on"


def decided(stack: StackAdvice) -> str:
    """Write a stack as a form sends it back when it is decided for."""
    return stack.model_dump_json(include={"gels", "dial"})


def share_said(advice: SourceAdvice | None) -> str:
    """Say what a source gets of a shared stock, in a crew's words; empty where nothing is shared."""
    if advice is None or advice.allocated is None:
        return ""
    words = advice.allocated.words
    for name in sorted({name for stack in advice.stacks for name in stack.gels}, key=len, reverse=True):
        words = words.replace(name, gel(name))
    return words


def head_outlook_each(heads: Sequence[PlannedSource]) -> list[tuple[Seen | None, str]]:
    """Say how near each head is, or will be, as `head_outlook` does: beside an order, what comes of that.

    Of a swap it is what the swap leads to, whether what hangs was metered or not; of dials to be set back,
    what they do then. How it is before that stands on the head's page.
    """
    said = []
    for head in heads:
        now = head.first_now
        before = " before" if now and now.read else ""  # what is out of date hangs nowhere
        if now is None and _to_swap(head):
            now = head.due.result if head.due else None
        if now is None and head.turned and not head.due:
            now = head.chosen
        said.append((now.miss.seen, f"{outlook(now)}{before}") if now else (head.seen, head_outlook(head)))
    return said


def _to_swap(head: PlannedSource) -> bool:
    """Whether a swap is what the board tells to do of a head, and nothing is to be checked first."""
    first = head.source.lamp_out or head.other_day or head.out or (head.check and head.check.odd)
    meter = head.again and head.changed
    return head.due is not None and not (first or meter)


def head_outlook(head: PlannedSource) -> str:
    """Say how good what hangs on a head is, as metered; else how good the stack to hang will be.

    Empty without advice.
    """
    if head.source.lamp_out:
        return out_said(head.source)
    if head.best is None:
        return ""
    if head.turned or head.check:
        return f"{head.seen}, metered"
    if head.before is None:
        return outlook(head.best)
    return f"{outlook(head.best)}, {'metered' if head.as_before else 'by'} the day before"


def expected_said(head: PlannedSource) -> str:
    """Say which way a stack that is to go up is likely off, which its chance follows from; else nothing.

    Two lamps 20 K apart behind one stack have two chances: one lands on the target, the other beside it.
    """
    best = head.best
    if best is None or head.check or head.out or not head.answered or best.read:
        return ""
    if not (best.gels or best.dial):
        return ""
    _, _, way = best.miss.words.partition(": ")
    return f"Expect it {off_as(way)}." if way else ""


def brighter(stops: float) -> str:
    """Say how many stops brighter or darker something is."""
    if abs(stops) < 0.05:
        return "as bright as predicted"
    return f"{measured(abs(stops), 'stop')} {'brighter' if stops > 0 else 'darker'} than predicted"


def closest(head: PlannedSource) -> str:
    """Say that no stack is likely near enough for a head; empty where one is, or nobody asks for it.

    Where what hangs is to be changed, it is said of what then hangs.
    """
    best = head.due.result if head.due else head.best
    if head.advice is None or best is None or head.out or head.check or head.source.aim.leave:
        return ""
    if head.outdated:  # what is advised now stands there
        return ""
    return closest_of(best, head.advice.stacks)


def beyond(head: PlannedSource) -> str:
    """Say that gel cannot bring a head in; or that none may hang, and why."""
    assert head.beyond is not None, "it is out of reach"
    if why := head.source.no_gel:
        return capitalize_first(why.said)
    return BEYOND


def at_best(head: PlannedSource) -> str:
    """Say what gel does at best for a head that it cannot bring in."""
    stack = head.beyond
    assert stack is not None, "it is out of reach"
    if stack.layers or stack.dial:
        return f"At best: {hang(stack)}, {lost(stack.stops)}, {stack.miss.words}."
    return f"{capitalize_first(stack.miss.words)}."


def as_known(cct: float, uncertainty_steps: float) -> float:
    """Return a predicted CCT [K] as exactly as it is known: to 50 K where it is not surer than a step.

    More digits would look metered.
    """
    return cct if uncertainty_steps < _SURE else round(cct / 50.0) * 50.0


_SURE = 1.0
"""What may be off by less is known to ten kelvins. [step] Our judgement."""


def over_light_each(heads: Sequence[PlannedSource], limits: Limits) -> list[str]:
    """Say of each head what `over_light` does."""
    return [over_light(head, limits) for head in heads]


def over_light(head: PlannedSource, limits: Limits) -> str:
    """Say that what hangs on a head loses more light than its limit; empty where it does not."""
    hung = head.chosen if head.hangs else None
    if hung is None or head.advice is None or (most := limits.for_source(head.source).max_stops) is None:
        return ""
    over = round(hung.stops - head.advice.least_stops - most, 1)
    return f"Loses {stops(hung.stops)}, your limit is {stops(most)}" if over > 0 else ""


def done(stack: StackAdvice) -> str:
    """Say that a stack is as it is to be, for the button: “Hung”, “Dials set”, “Stays bare”."""
    if stack.gels:
        return "Hung"
    return "Dials set" if stack.dial else "Stays bare"
