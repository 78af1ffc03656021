"""What to do about a head, and how far the work on it has come, in a sentence."""

from collections import Counter
from collections.abc import Sequence

from ...advice.after_hanging.check import Check
from ...advice.after_hanging.next_move import Swap
from ...advice.after_hanging.slip import Slip, Slips
from ...advice.learned.burnt import BURNT, OR_THE_LAMP
from ...advice.plan.head import PlannedSource
from ...advice.wording.outlook import NEAR
from ...advice.wording.words import foreseen, in_ten, is_seen
from ...model import Reading, Setting, Source, Stage, Work
from ...model.sets.phrases import counted, dial_said, grouped, listed
from .otherwise import set_back
from .stacks import as_known, beyond, to_hang
from .tested import ANOTHER_LAMP
from .values import capitalize_first, duv, gel, kelvin, lower_first

STAGES = {Stage.PLANNED: "planned", Stage.HUNG: "hung", Stage.CONFIRMED: "confirmed"}


def swap(change: Swap) -> str:
    """Say what to do to what hangs."""
    off = listed(grouped([gel(name) for name in change.off]))
    on = listed(
        grouped([f"a {which} {gel(name)}" if which else gel(name) for which, name in counted_up(change)])
    )
    parts = [f"take off {off}"] if off else []
    parts += [f"set {dial_said(change.dial)}"] if change.dial else []
    hung = listed(grouped([gel(name) for name in change.adds_to]))
    parts += [f"add {on} to {hung}" if hung else f"hang {on}"] if on else []
    return capitalize_first(", ".join(parts)) or "Closest there is"


_WHICH = ("", "second", "third", "fourth")


def counted_up(change: Swap) -> list[tuple[str, str]]:
    """Return the gels that a change adds, each with which of its name it is beside those that stay up.

    “second” where one hangs already; empty where none does.
    """
    up = Counter(change.stays)
    found = []
    for name in change.on:
        found.append((_WHICH[min(up[name], 3)] if name in change.stays else "", name))
        up[name] += 1
    return found


def left_up(change: Swap) -> str:
    """Say what stays up where some comes off: “, leave ⅛ minus green up”; empty where nothing does."""
    names = [gel(name) for name in change.stays]
    return f", leave {listed(grouped(names))} up" if change.off and names else ""


def up_still(change: Swap) -> str:
    """Say what stays up where some comes off, in a sentence: “⅛ minus green stays up”; else nothing."""
    names = [gel(name) for name in change.stays]
    verb = "stays" if len(names) == 1 else "stay"
    return f"{listed(grouped(names))} {verb} up" if change.off and names else ""


def changed_done(change: Swap) -> str:
    """Say what was done, once a change is made, in the word of its order: “Swapped”, “Added”, “Taken off”."""
    if not (change.off or change.on):
        return "Dials set"
    if change.off and change.on:
        said = "Swapped"
    elif change.on:
        said = "Added" if change.adds_to else "Hung"
    else:  # beside it stands the button after which nothing is decided any more
        said = "Taken off" if change.result.gels or change.result.dial else "Taken off, stays bare"
    return f"Dials set, {lower_first(said)}" if change.dial else said


def moves(change: Swap) -> str:
    """Say how many sheets, and dials, a change moves."""
    return counted(change.moves, "move")


def doing(head: PlannedSource) -> str:
    """Say what to do about a head, or what was done, in one sentence."""
    best = head.best
    if best is None:
        return ""
    if head.other_day and not head.hangs:
        return "Meter it: it was read on another day"
    if head.asks:
        return head.asks.words
    if head.dials_unknown:
        return "Dials first: note how they stand, and meter it"
    if head.out:
        return beyond(head)
    if head.stage is None or head.chosen is None:
        return to_hang(head, best)
    said = to_hang(head, head.chosen)
    if head.stage is Stage.PLANNED:
        planned = f"Planned: {lower_first(said)}"
        return f"{planned}. {outdated(head)}" if head.outdated else planned
    if head.turned and not head.due:
        return set_back(head.turned)
    if head.check and (odd := check_first(head.check)):
        return odd
    if head.bare_first:
        return bare_first(head).removesuffix(".")
    if head.swap:
        change = swap(head.swap)
        return f"{head.again}. {change}" if head.again and head.changed else change
    if head.check and not head.check.settled:
        return found(head.check)
    said = capitalize_first(_stands(head.stage, best.gels, best.dial))
    return f"{said}. {head.again}" if head.again else said


def on_paper(head: PlannedSource, *, hung: bool = True) -> str:
    """Say what hangs on a head and what to change of it; else what to hang.

    Without `hung`, what hangs is said beside it, and not before a change.
    """
    work = head.source.work
    if head.best is None:
        return hung_now(work) if work else ""
    if work is None or not work.hangs:
        other = head.asks or head.dials_unknown or head.out or head.outdated
        return doing(head) if other else to_hang(head, head.best)
    change = to_change(head)
    return f"{hung_now(work)}. {change}" if change and hung else change or hung_now(work)


def to_change(head: PlannedSource) -> str:
    """Say what to check, and what to change of what hangs on a head; empty where nothing is."""
    if head.turned and not head.due:
        return set_back(head.turned)
    first = check_first(head.check) if head.check else ""
    if not (head.swap and head.swap.some):
        return first.removesuffix(".")
    change = swap(head.swap)
    return f"{first} Else: {lower_first(change)}" if first else change


def check_first(check: Check) -> str:
    """Say what to check before anything is changed, where a reading is odd; empty where it is not."""
    if not check.odd:
        return ""
    odd = _odd(check)
    return f"{ANOTHER_LAMP} Or {lower_first(odd)}" if check.lamp_first else odd


def _odd(check: Check) -> str:
    slip, read = check.slip, check.reading
    if check.other_sign:
        return f"{signs_said(check.other_sign, read)} Which sign is right? If you can’t tell, meter it again."
    if check.burnt:
        return OR_THE_LAMP if check.asks_bare else BURNT
    if slip and slip.what is Slips.BARE:
        return "Is the gel on? It reads like the bare head."
    if check.mistake and not check.slip_first:
        lines = " Or narrow lines weaken the gel." if check.mistake.or_lines else ""
        if not check.mistake.instead:
            return f"Is one not up? It reads as without {gel(check.mistake.of)}.{lines}"
        like, of = gel(check.mistake.instead), gel(check.mistake.of)
        said = "" if check.mistake.on_truck else f" {capitalize_first(like)} is not on the truck."
        said += " Or the daylight moved." if check.mistake.or_sky else ""
        return f"Check the gel: it reads like {like}, not {of}.{said}{lines}"
    if slip:
        return f"{typed_for(slip, read)} {_SLIPPED[slip.what]}"
    if check.far_off:
        said = f"Meter it again? {read_as_typed(check)}, {expected(check)} expected."
        meant, hangs = check.far_off.meant, check.far_off.mistake
        other = [f"Or {slip_said(meant)}?"] if meant else []
        gels = [f"Or is it {gel(hangs.instead)}, not {gel(hangs.of)}?"] if hangs else []
        return " ".join([said, *(gels + other if check.far_off.gel_first else other + gels)])
    return ""


_SLIPPED = {
    Slips.DIGIT: "One digit.",
    Slips.SWAPPED: "Two digits swapped.",
    Slips.SIGN: "The sign.",
    Slips.POINT: "The decimal point.",
}


def typed_for(slip: Slip, read: Reading) -> str:
    """Say what was typed for what: “2 410 K for 4 210 K?”, of the bare reading where it is that one."""
    was = slip.of_bare or read
    in_cct = slip.in_cct
    said = (
        f"{kelvin(was.cct)} for {kelvin(slip.cct)}?" if in_cct else f"Duv {duv(was.duv)} for {duv(slip.duv)}?"
    )
    return f"Bare, {said}" if slip.of_bare else said


def signs_said(earlier: Reading, read: Reading) -> str:
    """Say that the Duv changed its sign behind the same gels: “Duv +0.0017, then −0.0018.”"""
    return f"Duv {duv(earlier.duv)}, then {duv(read.duv)}."


def slip_said(meant: Slip) -> str:
    """Say what may have been meant by a reading: its CCT or its Duv, whichever is not as typed."""
    return kelvin(meant.cct) if meant.in_cct else f"Duv {duv(meant.duv)}"


def read_as_typed(check: Check) -> str:
    """Say what was read, with its Duv where that is part of why it is odd."""
    white = check.white
    return f"{kelvin(white.cct)}, Duv {duv(white.duv)}" if _by_green(check) else kelvin(white.cct)


def expected(check: Check) -> str:
    """Say what was predicted, as exactly as anybody knows it: “about 5 500 K”."""
    then = check.predicted
    said = f"about {kelvin(round(as_known(then.cct, then.uncertainty_steps), -1))}"
    return f"{said}, Duv {duv(then.duv)}" if _by_green(check) else said


def _by_green(check: Check) -> bool:
    return abs(check.white.duv - check.predicted.duv) >= _GREEN


def bare_first(head: PlannedSource) -> str:
    """Say why a head is metered bare before gel is moved."""
    return "Not as in its test: meter it bare first." if head.unlike_test else BARE_FIRST


BARE_FIRST = "Daylight moves: meter it bare first."
"""Said of daylight that nothing here brings nearer, by what it read bare before it moved."""
LEFT_OUT = "Left out until it is checked."
"""Said of a reading of which the gel or the figures are doubted."""
_GREEN = 0.002
"""The least difference of Duv that is said beside that of the CCT."""


def hung_now(work: Work) -> str:
    """Say what hangs, and how the dials stand: “Hung ¼ CTO”, “Stays bare”."""
    parts = [f"hung {listed(grouped([gel(name) for name in work.gels]))}"] if work.gels else []
    parts += [f"dials at {dial_said(work.dial)}"] if work.dial else []
    return capitalize_first(", ".join(parts)) or "Stays bare"


def hung_meanwhile(head: PlannedSource) -> str:
    """Say what hangs on a head, in a sentence before another, where it is to be changed; else nothing."""
    work = head.source.work
    return f"{hung_now(work)}. " if work and head.hangs and head.due else ""


def outdated(head: PlannedSource) -> str:
    """Say that a plan is out of date, and what is advised now."""
    assert head.first is not None, "it has advice"
    return f"Out of date, now {lower_first(to_hang(head, head.first))}"


def found(check: Check) -> str:
    """Say how what was read behind a stack stands to what was predicted and to the target."""
    if check.settled:
        return "Confirmed" if check.reached else "Confirmed as it is"
    if check.on_edge:
        return "On the edge, meter it once more"
    if check.moved:  # also of a light that had changed before that
        return f"Confirmed, then its target changed. Now it {is_seen(check.seen)}"
    if check.lit_anew:
        return "The light changed"
    if check.unforeseen:
        return f"It {is_seen(check.seen)}"
    if not check.as_predicted:
        return "Not as predicted"
    if check.apart > check.tolerance:  # within the doubt, and nobody would call that held
        return f"{capitalize_first(expected(check))} was expected, now it {is_seen(check.seen)}"
    if odds := _odds_missed(check):
        return f"It was to be close, {odds}. It {is_seen(check.seen)}"
    return f"It reads as predicted, and {is_seen(check.seen)}"


def _odds_missed(check: Check) -> str:
    """Say the chance that was told, where a light was likely to be close and is not: “8 in 10”."""
    then = check.predicted
    if check.reached or then.within is None or then.tolerance_steps != check.tolerance:
        return ""
    told = foreseen(check.left, check.left, then.within, check.tolerance)
    return in_ten(then.within) if told in NEAR else ""


def worked(source: Source) -> str:
    """Say how the work on a source stands: “hung: ¼ CTO”, “stays bare”."""
    work = source.work
    if work is None:
        return "nothing decided"
    said, other = _stands(work.stage, work.gels, work.dial), work.instead
    return f"{said}, {_stands(other.stage, other.gels, other.dial)}" if other else said


def _stands(stage: Stage, gels: Sequence[str], dial: Setting | None) -> str:
    """Say what was decided for a source, and how far that has come."""
    parts = [f"dials at {dial_said(dial)}"] if dial else []
    parts += [listed(grouped([gel(name) for name in gels]))] if gels else []
    if not parts:
        return "stays bare" if stage is Stage.HUNG else f"{STAGES[stage]}: stays bare"
    return f"{STAGES[stage]}: {', '.join(parts)}"
