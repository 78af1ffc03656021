"""The two heads that match each other least, before anything hangs and after, in one line."""

from ....advice.overview.pairs import Pair, not_counted, worst_pairs
from ....advice.overview.ratios import planned, settled, then
from ....advice.plan.plan import Plan
from ....advice.wording.words import beside
from ....model import Seen
from ....model.sets.phrases import listed
from ...wording.short import off_as
from ...wording.values import capitalize_first


def worst_pair_said(plan: Plan) -> str:
    """Say which two heads match least, now and with gels; empty where there are no two, or all match.

    “Worst pair now: Key and Neon, obvious. With gels: Panel and Neon, close.” Where both are the same two,
    they are named once: “Worst pair: Key and Neon, obvious now, close with gels.” Who is in no pair is named
    last: “Not counted: Lamp.”
    """
    now, gelled = worst_pairs(plan)
    if now is None or gelled is None or not planned(plan) or _fine(now, gelled):
        return ""
    if {now.first, now.second} == {gelled.first, gelled.second}:
        return f"Worst pair: {_names(now, plan)}, {_change(now, gelled, plan)}.{_rest(plan)}"
    both = f"Worst pair now: {_said(now, plan)} {capitalize_first(then(plan))}: {_said(gelled, plan)}"
    return f"{both}{_rest(plan)}"


def apart_said(pair: Pair | None, plan: Plan) -> str:
    """Say which way the worst pair is off, and how plainly; empty where it matches.

    No part is left out that the fractions can tell: two small ways off add up to one that is seen.
    """
    if pair is None or pair.match:
        return ""
    off = off_as(beside(pair.mired, pair.duv, plan.ladder, visible=True))
    first, second = (plan.heads[i].source.name for i in (pair.first, pair.second))
    # Both are named: rows of Compare may be beside another one, and then say otherwise of it.
    return f"{capitalize_first(pair.seen)}: {second} beside {first}, {off}."


def pair_in_steps(pair: Pair | None, plan: Plan, reference: int) -> list[tuple[str, float]]:
    """Return the worst pair by its names with how far apart it is [step]; none where a row tells that."""
    if pair is None or reference in (pair.first, pair.second):
        return []
    return [(f"{_names(pair, plan)}, to each other", pair.steps)]


def _rest(plan: Plan) -> str:
    out = [plan.heads[i].source.name for i in not_counted(plan)]
    return f" Not counted: {listed(out)}." if out else ""


def _fine(now: Pair, gelled: Pair) -> bool:
    return now.seen is Seen.MATCHES and gelled.seen is Seen.MATCHES


def _said(pair: Pair, plan: Plan) -> str:
    return f"{_names(pair, plan)}, {_seen(pair)}."


def _names(pair: Pair, plan: Plan) -> str:
    return " and ".join(plan.heads[i].source.name for i in (pair.first, pair.second))


def _seen(pair: Pair) -> str:
    return "which match" if pair.seen is Seen.MATCHES else str(pair.seen)


def _change(now: Pair, gelled: Pair, plan: Plan) -> str:
    if settled(plan):
        return _seen(gelled)
    if now.seen is gelled.seen:
        return f"{now.seen} now and {then(plan)}"
    return f"{now.seen} now, {gelled.seen} {then(plan)}"
