"""What to do about a head, in five words on its board, in three on its page; a set's counts."""

from collections import Counter
from collections.abc import Iterable, Sequence

from ...advice.after_hanging.check import Check
from ...advice.after_hanging.next_move import Swap
from ...advice.after_hanging.slip import Slips
from ...advice.learned.light_here import unread_here
from ...advice.plan.head import PlannedSource
from ...advice.plan.needs import Needs, moves_stand
from ...model import Seen, StackAdvice, Stage
from ...model.sets.phrases import dial_said, grouped, listed
from .otherwise import dials_apart
from .stacks import beyond, fixed_apart, out_said, stays_on
from .values import capitalize_first, duv, fraction_said, gel, gels, lower_first, where_to
from .work import counted_up, read_as_typed, typed_for

STATE_SAID = {
    Needs.HANDS: "needs you",
    Needs.HANG: "to hang",
    Needs.METER: "to meter",
    Needs.NOTHING: "done",
    Needs.LEAVE: "left alone",
}


def counted_said(need: Needs, count: int) -> str:
    """Say how many heads need what: “1 needs you”, “4 to hang”."""
    said = "need you" if need is Needs.HANDS and count > 1 else STATE_SAID[need]
    return f"{count} {said}"


def tally(needs: Iterable[Needs]) -> str:
    """Say what the heads of a group need: “1 needs you, 4 to hang”."""
    counts = Counter(needs)
    return listed([counted_said(need, counts[need]) for need in Needs if counts[need]])


def brief_each(heads: Sequence[PlannedSource], needs: Sequence[Needs]) -> list[str]:
    """Say what to do about each head, as `brief` does."""
    return [brief(head, need) for head, need in zip(heads, needs, strict=True)]


def brief(head: PlannedSource, need: Needs) -> str:
    """Say what to do about a head in about five words; empty where nothing is known of it."""
    if head.source.lamp_out:
        up = head.source.hanging
        said = out_said(head.source)
        return f"{said}, {_gels(up)} up" if up else said
    stand = head.source.stand
    if stand is None or stand.done:
        return _brief(head, need)
    order = f"move it to {where_to(stand)}"
    rest = "" if moves_stand(head) else _brief(head, need)
    return f"{order}, {rest}" if rest else order


def _brief(head: PlannedSource, need: Needs) -> str:
    if head.best is None:
        return ""
    if head.other_day:
        hung = _stack(head.chosen) if head.hangs and head.chosen else ""
        return f"{hung} hung, meter it again" if hung and hung != BARE else "meter it, read on another day"
    if head.asks:
        return "say which kind it is"
    if head.dials_unknown:
        return "note the dials, meter it"
    if head.out:
        return lower_first(beyond(head))
    if head.outdated:
        return f"now {_to_hang(head, head.first)}" if head.first else "plan again"
    if head.turned and not head.due:
        return f"set it back to {dials_apart(head.turned.set_to, head.turned.read_at)}"
    if head.check and (odd := _to_check(head.check)):
        return odd
    if head.due and need is not Needs.METER:
        return swapped(head.due)
    return _settled(head, head.best, need)


def _settled(head: PlannedSource, best: StackAdvice, need: Needs) -> str:
    stack = _to_hang(head, best)
    if need is Needs.METER:
        hung = stack if stack == BARE else f"{stack} hung"
        if head.bare_first:
            return f"{hung}, meter it bare"
        return f"{hung}, meter it{' again' if head.again or head.check else ''}"
    if need is Needs.HANDS and not head.check and head.listed_near:
        return f"{stack}, another gel is likelier"
    if head.closest_hangs or (need is Needs.HANDS and not head.check):
        return f"{stack}, closest there is"
    if need is Needs.HANDS:
        return f"{stack} hung, look again"
    return "stays bare" if stack == BARE else stack


BARE = "bare"
METER_BARE = "meter it bare"
"""What to do about a head of which no bare reading counts."""


def _stack(stack: StackAdvice) -> str:
    """Name a stack in short: “¼ CTO + ⅛ minus green”."""
    parts = [f"set {dial_said(stack.dial)}"] if stack.dial else []
    parts += [_gels(stack.gels)] if stack.gels else []
    return " + ".join(parts) or BARE


def _to_hang(head: PlannedSource, stack: StackAdvice) -> str:
    """Name what hands must hang of a stack, or hung; a fixed gel only where nothing else is to be done."""
    if not head.source.keep:
        return _stack(stack)
    fixed, rest = fixed_apart(head, stack)
    return stays_on(fixed) if fixed and _stack(rest) == BARE else _stack(rest)


def _gels(names: Sequence[str]) -> str:
    return " + ".join(gels(names))


def swapped(change: Swap) -> str:
    """Say a change in short: “swap ½ for ¾ CTB”, “add ⅛ minus green”, “take off ½ CTB”."""
    parts = [f"set {dial_said(change.dial)}"] if change.dial else []
    if change.off and change.on:
        parts.append(f"swap {_for_another(change)}")
    elif change.off:
        parts.append(f"take off {_gels(change.off)}")
    elif change.on:
        parts.append(f"{'add' if change.adds_to else 'hang'} {_added(change)}")
    return ", ".join(parts)


def _added(change: Swap) -> str:
    """Name what goes up, and which of its name it is: “⅛ CTB + second ⅛ minus green”."""
    return " + ".join(grouped([f"{which} {gel(name)}".lstrip() for which, name in counted_up(change)]))


def _for_another(change: Swap) -> str:
    """Name one gel for another of its family by their fractions, “½ for ¾ CTB”; others by their names."""
    off, on = change.off, change.on
    (old, _, less), (new, _, more) = off[0].rpartition(" "), on[0].rpartition(" ")
    if len(off) == len(on) == 1 and old == new:
        return f"{fraction_said(less)} for {gel(f'{new} {more}')}"
    return f"{_gels(off)} for {_added(change)}"


def _to_check(check: Check) -> str:
    """Say in short what to check (`work.check_first`)."""
    if not check.odd:
        return ""
    slip, read = check.slip, check.reading
    if check.lamp_first:
        return METER_BARE
    if check.other_sign:
        return f"Duv {duv(check.other_sign.duv)} or {duv(read.duv)}?"
    if slip and slip.what is Slips.BARE:
        return "is the gel on? Reads bare"
    if check.mistake and not check.slip_first:
        if not check.mistake.instead:
            return f"check: is {gel(check.mistake.of)} up?"
        return f"check: {gel(check.mistake.instead)}, not {gel(check.mistake.of)}?"
    if slip:
        return lower_first(typed_for(slip, read))
    return f"{read_as_typed(check)}? Meter it again"


_REACHED = {Seen.MATCHES: "Matched", Seen.CLOSE: "Close match"}
"""What a head is once it was read; further off it is as somebody left it."""


def band_said(head: PlannedSource, need: Needs) -> str:
    """Say how a head stands, the verb first: “Check the gel”, “Hung, meter it”."""
    if head.source.lamp_out:
        return capitalize_first(out_said(head.source))
    if moves_stand(head):
        return "Move it"
    if need is Needs.METER and unread_here(head.source):
        return "Moved, meter it"
    if need is Needs.HANDS:
        return _band_in_hand(head)
    if need is Needs.HANG:
        return _band_to_hang(head)
    if need is Needs.METER:
        return _band_to_meter(head)
    if need is Needs.NOTHING:
        return _REACHED.get(head.seen, "Left as it is") if head.seen else "Confirmed"
    if head.source.aim.leave or head.seen is None:
        return "Left alone"
    return _REACHED[head.seen] if head.fixed else f"{_REACHED[head.seen]}, bare"


def _band_in_hand(head: PlannedSource) -> str:
    if head.gel_on:
        return "Was the gel on?"
    if head.best is None:
        return "Meter it"
    if head.asks:
        return "Say which kind"
    if head.dials_unknown:
        return "Note the dials"
    if head.out:
        return "Takes no gel" if head.source.no_gel else "Gel can’t fix it"
    if head.outdated:
        return "Plan it again"
    if head.turned and not head.due:
        return "Set it back"
    if head.check and (odd := _band_to_check(head.check)):
        return odd
    if head.due:
        return changed(head.due)
    return "Choose a stack" if head.listed_near else "Closest there is"


def _band_to_check(check: Check) -> str:
    if not check.odd:
        return ""
    if check.burnt:
        return "Gel burnt"
    if check.gel_doubted:
        if check.slip_first:
            return "Is the gel on?" if check.slip and check.slip.what is Slips.BARE else "Check the reading"
        return "Check the gel"
    return "Check the reading" if check.slip or check.other_sign else "Meter it again"


def changed(change: Swap) -> str:
    """Say in a word what a change does: “Swap”, “Add”, “Take off”, “Set”."""
    if change.off:
        return "Swap" if change.on else "Take off"
    if change.on:
        return "Add" if change.adds_to else "Hang"
    return "Set"


def _band_to_hang(head: PlannedSource) -> str:
    if head.due:
        return changed(head.due)
    return "Hang" if head.best and head.best.gels else "Set"


def _band_to_meter(head: PlannedSource) -> str:
    if head.asks_bare:
        return "Meter it bare"
    if head.again or head.check or (head.other_day and head.hangs):
        return "Meter it again"
    if head.other_day:
        return "Meter it"
    work = head.source.work
    assert work is not None and work.stage is not Stage.PLANNED, "something hangs on it"
    hung = "Hung" if work.gels else "Set" if work.dial else "Bare"
    return f"{hung}, meter it"
