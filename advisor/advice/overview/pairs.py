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

_ABOUT_AS_FAR = 0.9
"""Two pairs are about equally far apart if the nearer is at least this part of the farther. Our judgement."""


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

    All count but those in `not_counted`, what gel cannot bring in as well: a camera sees it too. Practicals
    are in frame for certain: two of them are the pair where they are about as far apart as the worst of all.
    """
    return _worst_of(plan, _to_match(plan), gelled=gelled)


def worst_pairs(plan: Plan) -> tuple[Pair | None, Pair | None]:
    """Return the two heads that match each other least (`worst_pair`), now and once the plan hangs."""
    plain = _to_match(plan)
    return _worst_of(plan, plain, gelled=False), _worst_of(plan, plain, gelled=True)


def not_counted(plan: Plan) -> list[int]:
    """Return the indices of the heads that are in no pair: off or left on purpose, or without a white."""
    plain = set(_to_match(plan))
    return [i for i, head in enumerate(plan.heads) if i not in plain or head.white is None]


def _worst_of(plan: Plan, plain: Sequence[int], *, gelled: bool) -> Pair | None:
    each = whites_of_heads(plan, gelled=gelled)
    whites = {i: white for i in plain if plan.heads[i].white is not None and (white := each[i]) is not None}
    practicals = [i for i in whites if plan.heads[i].source.role is Role.PRACTICAL]
    in_frame, worst = _worst(plan, practicals, whites), _worst(plan, list(whites), whites)
    if in_frame and worst and not in_frame.match and in_frame.steps >= _ABOUT_AS_FAR * worst.steps:
        return in_frame
    return worst


def hopeless(plan: Plan) -> list[int]:
    """Return the indices of the heads that gel cannot bring in, of those that are to match.

    Where a stack is told or was read to bring it near, gel can: somebody decided otherwise.
    """
    heads = [(i, plan.heads[i]) for i in _to_match(plan)]
    return [i for i, head in heads if head.beyond and head.seen not in NEAR and not head.listed_near]


def _to_match(plan: Plan) -> list[int]:
    return [i for i, head in enumerate(plan.heads) if head.source.aim == WantedOffset()]


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
