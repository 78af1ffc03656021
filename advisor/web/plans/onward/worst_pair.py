"""The two heads that match each other least, before anything hangs and after, in one line."""

from ....advice.overview.pairs import Pair, worst_pairs
from ....advice.overview.ratios import planned, then
from ....advice.plan.plan import Plan
from ....model import Seen
from ...wording.values import capitalize_first


def worst_pair_said(plan: Plan) -> str:
    """Say which two heads match least, now and with gels; empty where there are no two, or all match.

    “Now Key and Neon: obvious. With gels Panel and Neon: close.”
    """
    now, gelled = worst_pairs(plan)
    if now is None or gelled is None or not planned(plan) or _fine(now, gelled):
        return ""
    return f"{_said('Now', now, plan)} {_said(capitalize_first(then(plan)), gelled, plan)}"


def _fine(now: Pair, gelled: Pair) -> bool:
    return now.seen is Seen.MATCHES and gelled.seen is Seen.MATCHES


def _said(when: str, pair: Pair, plan: Plan) -> str:
    first, second = (plan.heads[i].source.name for i in (pair.first, pair.second))
    return f"{when} {first} and {second}: {pair.seen}."
