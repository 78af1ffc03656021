"""What moved on a set, and the ways on, in short sentences."""

from collections.abc import Sequence

from ...advice.next_plans.way import NextPlan, NextPlans, PlanCut, PlanWay, Turn
from ...model import Seen, Source
from ...model.sets.phrases import counted, dial_said, listed, measured, taken_out
from ..wording.values import capitalize_first, gels, kelvin, lost

_LEAST = 0.05
"""Less light rounds to nothing. [stop]"""
_CC = 1000.0
"""A CC is a thousandth of Duv: our definition."""
_DAYLIGHT = 0.0033
"""Duv of the daylight locus at about 6 500 K: a camera's whites lie from 0 to there (CIE 15:2018)."""
_PLAIN = 0.002
"""A white so far beside them, in Duv, is not one that a camera has without a tint. Our judgement."""


def moved_said(found: NextPlans) -> str:
    """Say what moved: “Window moved”, “3 sources moved”, “The target moved”, “Key at another level”."""
    return sources_moved(() if found.white_moved else found.moved, found.levels)


def sources_moved(names: Sequence[str], levels: Sequence[str]) -> str:
    """Say which sources moved, or were set to other `levels`; without any it was the target."""
    if not names:
        return "The target moved"
    if len(names) > 2:
        return f"{len(names)} sources moved"
    return f"{listed(names)} {'at another level' if set(names) <= set(levels) else 'moved'}"


def ways_said(found: NextPlans, *, adopted: bool) -> str:
    """Say it with how many plans there are: “Window moved: 3 plans to choose from”."""
    if adopted:
        return f"{moved_said(found)}: plan adopted"
    return f"{moved_said(found)}: {counted(len(found.plans), 'plan')} to choose from"


def named(plan: NextPlan, found: NextPlans) -> str:
    """Name a plan: “Hold 7 150 K”, “Follow Window to 6 200 K”, “Move the white to 6 650 K”."""
    # As the target says it, where it does: 5 600 K of daylight lies at 5 599 K.
    white = kelvin(plan.white.cct if plan.target.cct is None else plan.target.cct)
    if plan.way is PlanWay.HOLD:
        return f"Hold {white}"
    if plan.way is PlanWay.WHITE:
        return f"Move the white to {white}"
    if found.white_moved or len(found.moved) != 1:
        return f"Follow to {white}"
    return f"Follow {found.moved[0]} to {white}"


def moves_said(plan: NextPlan) -> str:
    """Say how much climbing it is, and how many dials turn: “1 move on 1 head. Turn the dials of 1 more.”"""
    climbs = f"{counted(plan.moves, 'move')} on {counted(len(plan.heads), 'head')}" if plan.moves else ""
    alone = sum(not turn.climbs for turn in plan.turned)
    if not alone:
        return f"{climbs}." if climbs else "Nobody climbs."
    more = f"{alone} more" if climbs else counted(alone, "head")
    return f"{climbs or 'Nobody climbs'}. Turn the dials of {more}."


def turn_said(turn: Turn) -> str:
    """Say what to do at a head: “take off ½ CTO, hang ¼ CTO”."""
    said = [f"take off {_gels(turn.off)}"] if turn.off else []
    said += [f"hang {_gels(turn.on)}"] if turn.on else []
    said += [f"set {dial_said(turn.dial)}"] if turn.dial else []
    return ", ".join(said)


def light_said(plan: NextPlan, sources: Sequence[Source]) -> str:
    """Say what it costs in light at the subject, or which of the set's `sources` there has no lux."""
    if plan.stops is None:
        there = [one for one in (sources[turn.index] for turn in plan.turns) if one.lights_subject]
        unread = [one.name for one in there if not one.reading.lux]
        if not there:
            return "Nothing here lights the subject."
        if len(unread) == 1:
            return f"Light at the subject: not known, {unread[0]} has no lux."
        return f"Light at the subject: not known, {counted(len(unread), 'source')} have no lux."
    if plan.stops <= -_LEAST:
        return f"Light at the subject: +{measured(-plan.stops, 'stop')}."
    return f"Light at the subject: {lost(plan.stops)}."


def off_said(plan: NextPlan) -> str:
    """Say who will not match, and how plainly, and who may not: “Won’t match: Tube a bit off.”"""
    unsure = [turn.name for turn in plan.unsure]
    alike = [(seen, [turn.name for turn in plan.off if turn.seen is seen]) for seen in Seen]
    off = [f"{listed(names)} {seen}" for seen, names in reversed(alike) if names]
    said = [f"Won’t match: {', '.join(off)}."] if off else []
    said += [f"May be a bit off: {listed(unsure)}."] if unsure else []
    return " ".join(said) or "All match or come close."


def without_said(names: Sequence[str]) -> str:
    """Say which sources no plan does anything about; empty where there are none."""
    return f"Not in these plans: {listed(names)}." if names else ""


def cuts_said(plan: NextPlan) -> str:
    """Say which cuts go up again and which are new; one of no size goes up “if it is large enough”."""
    if not (plan.again or plan.fresh):
        return "No cuts needed."
    said = [f"From the truck: {_cuts(plan.fresh)}"] if plan.fresh else ["No new cuts"]
    said += [f"used again: {_cuts(plan.again)}{_if_it_covers(plan.again)}"] if plan.again else []
    return f"{'. '.join(capitalize_first(one) for one in said)}."


def camera_said(plan: NextPlan, found: NextPlans) -> str:
    """Say what the camera does; empty where it stays, or goes to where the target went already.

    Who follows a light that is green, or magenta, has the camera take that out.
    """
    if plan.way is PlanWay.HOLD or (plan.way is PlanWay.FOLLOW and found.white_moved):
        return ""
    if plan.way is PlanWay.WHITE:
        return f"Set the camera to {kelvin(plan.target.cct)}."
    off = plan.white.duv - plan.target.tint / _CC
    beside = off - min(max(off, 0.0), _DAYLIGHT)
    out = f", taking out {taken_out(round(_CC * off))}" if abs(beside) >= _PLAIN else ""
    return f"Set the camera to {kelvin(plan.white.cct)}{out}."


def _if_it_covers(cuts: Sequence[PlanCut]) -> str:
    unsized = sum(not cut.sized for cut in cuts)
    return f", if {'it is' if len(cuts) == 1 else 'they are'} large enough" if unsized else ""


def _cuts(cuts: Sequence[PlanCut]) -> str:
    return listed(gels(sorted(cut.gel for cut in cuts)))


def _gels(names: Sequence[str]) -> str:
    return listed(gels(names))
