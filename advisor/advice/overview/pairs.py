"""Which two heads match each other least: in frame an eye compares all with all, not each with the target."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import delta_uv_prime, steps_apart
from ...model import Role, Seen, WantedOffset
from ..plan.plan import Plan
from ..readings.chromaticity import WhitePoint
from ..wording import words
from ..wording.outlook import NEAR
from .reference import whites_of_heads


@dataclass(frozen=True)
class Pair:
    """Two heads by their indices, the one nearer to the target first: how far apart they are [step].

    `seen` is what the eye makes of that. `mired` is positive where the second is warmer, `duv` where greener.
    """

    first: int
    second: int
    steps: float
    seen: Seen
    mired: float
    duv: float

    @property
    def match(self) -> bool:
        """Whether the two match, or come close."""
        return self.seen in NEAR


def worst_pair(plan: Plan, *, gelled: bool) -> Pair | None:
    """Return the two heads that match each other least, now or once the plan hangs; None below two.

    What is off on purpose, or left as it is, counts for nothing, nor do `hopeless` heads where two others are
    left: a pair that gel cannot bring together is no work for anybody. Practicals are in frame for certain:
    two of them are the pair if an eye sees no two heads more plainly apart; else it is the worst of all.
    """
    plain = _to_match(plan)
    return _worst_of(plan, plain, _hopeless(plan, plain), gelled=gelled)


def worst_pairs(plan: Plan) -> tuple[Pair | None, Pair | None]:
    """Return the two heads that match each other least (`worst_pair`), now and once the plan hangs."""
    plain = _to_match(plan)
    far = _hopeless(plan, plain)
    return _worst_of(plan, plain, far, gelled=False), _worst_of(plan, plain, far, gelled=True)


def _worst_of(plan: Plan, plain: Sequence[int], far: Sequence[int], *, gelled: bool) -> Pair | None:
    each = whites_of_heads(plan, gelled=gelled)
    able = [i for i in plain if i not in far and each[i] is not None]
    whites = {i: white for i in (able if len(able) > 1 else plain) if (white := each[i]) is not None}
    practicals = [i for i in whites if plan.heads[i].source.role is Role.PRACTICAL]
    in_frame, worst = _worst(plan, practicals, whites), _worst(plan, list(whites), whites)
    if in_frame and worst and not in_frame.match and in_frame.seen is worst.seen:
        return in_frame
    return worst


def hopeless(plan: Plan) -> list[int]:
    """Return the indices of the heads that gel cannot bring in, of those that are to match."""
    return _hopeless(plan, _to_match(plan))


def _to_match(plan: Plan) -> list[int]:
    return [i for i, head in enumerate(plan.heads) if head.source.aim == WantedOffset()]


def _hopeless(plan: Plan, heads: Sequence[int]) -> list[int]:
    return [i for i in heads if plan.heads[i].beyond is not None and plan.heads[i].seen not in NEAR]


def _worst(plan: Plan, heads: Sequence[int], whites: dict[int, WhitePoint]) -> Pair | None:
    if len(heads) < 2:
        return None
    uv = np.array([whites[i].uv for i in heads])
    apart = steps_apart(uv[:, None], uv[None])
    one, other = (int(k) for k in np.unravel_index(np.argmax(apart), apart.shape))
    if one == other:  # all are the same white
        one, other = 0, 1
    if plan.target and delta_uv_prime(uv[one], plan.target.uv) > delta_uv_prime(uv[other], plan.target.uv):
        one, other = other, one
    first, second, steps = heads[one], heads[other], float(apart[one, other])
    seen = words.seen(steps, plan.limits.tolerance_steps)
    mired, duv = whites[first].shift_to(whites[second])
    return Pair(first, second, steps, seen, mired, duv)
