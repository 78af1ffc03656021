"""The two heads that match each other least, before anything hangs and after, in one line."""

from ....advice.overview.pairs import Pair, worst_pairs
from ....advice.overview.ratios import planned, then
from ....advice.plan.plan import Plan
from ....model import Seen
from ...wording.values import capitalize_first


def worst_pair_said(plan: Plan) -> str:
    """Say which two heads match least, now and with gels; empty where there are no two, or all match.

    “Worst pair now: Key and Neon, obvious. With gels: Panel and Neon, close.”
    """
    now, gelled = worst_pairs(plan)
    if now is None or gelled is None or not planned(plan) or _fine(now, gelled):
        return ""
    return f"Worst pair now: {_said(now, plan)} {capitalize_first(then(plan))}: {_said(gelled, plan)}"


_OFF = {Seen.MATCHES: "which match"}


def _fine(now: Pair, gelled: Pair) -> bool:
    return now.seen is Seen.MATCHES and gelled.seen is Seen.MATCHES


def _said(pair: Pair, plan: Plan) -> str:
    first, second = (plan.heads[i].source.name for i in (pair.first, pair.second))
    return f"{first} and {second}, {_OFF.get(pair.seen, pair.seen)}."
