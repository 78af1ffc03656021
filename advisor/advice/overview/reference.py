"""The DP's look: how far every source sits from a reference, and which way."""

from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import delta_uv_prime, steps_apart
from ...model import Role, Seen
from ..pictures.light_path import patch
from ..plan.light import uv_behind_each, uv_then_each
from ..plan.plan import Plan
from ..readings.chromaticity import WhitePoint, whites_at
from ..wording import words


@dataclass(frozen=True)
class Against:
    """The `i`-th head against the reference: how far it is off [step], as the eye sees it, and which way.

    `mired` is positive where the head is warmer, `duv` where it is greener. `light` and `base` are patches of
    the head and of the reference, as ``#rrggbb``, to an eye that is set to the reference.
    """

    i: int
    steps: float
    seen: Seen
    mired: float
    duv: float
    light: str
    base: str


def against(plan: Plan, reference: int, *, gelled: bool = False) -> list[Against]:
    """Compare the heads of a plan with one of them, the plainest first; those without a white stay out.

    `gelled` compares them as they will be once the plan hangs (`whites_of_heads`), else as they are now.
    """
    whites = whites_of_heads(plan, gelled=gelled)
    base = whites[reference]
    if base is None:
        return []
    found = [
        _against(plan, i, white, base)
        for i, white in enumerate(whites)
        if i != reference and white is not None
    ]
    return sorted(found, key=lambda a: -a.steps)


def whites_of_heads(plan: Plan, *, gelled: bool = False) -> list[WhitePoint | None]:
    """Return the white of each head; None where it has none.

    Now, what hangs counts with its gels, as read behind them where that was read, and everything else bare; a
    head whose dials were turned since, as it was read last.
    `gelled` counts what the plan hangs and swaps too; a head without a plan stays as it reads.
    """
    counted = [i for i, head in enumerate(plan.heads) if gelled or head.hangs]
    behind = (uv_then_each if gelled else uv_behind_each)(plan, counted)
    after = dict(zip(behind, whites_at(np.array(list(behind.values())).reshape(-1, 2)), strict=True))
    last = {} if gelled else {i: head.turned.white for i, head in enumerate(plan.heads) if head.turned}
    return [last.get(i) or after.get(i) or head.white for i, head in enumerate(plan.heads)]


def usual_reference(plan: Plan, matched: str | None = None) -> tuple[int, str] | None:
    """Return the index of the head to compare with where nobody chose one, and why it is that one.

    It is the one that is to be `matched`, else a key, else what stands nearest to the target; of what has a
    white. None where nothing has.
    """
    with_white = [i for i, head in enumerate(plan.heads) if head.white is not None]
    if not with_white:
        return None
    seen = [i for i in with_white if not plan.heads[i].source.lamp_out] or with_white
    for i in seen:
        if plan.heads[i].source.name == matched:
            return i, "all are to match it"
    for i in seen:
        if plan.heads[i].source.role is Role.KEY:
            return i, "the key"
    if plan.target is None:
        return seen[0], "the first"
    whites = whites_of_heads(plan)
    stand = np.array([white.uv for i in seen if (white := whites[i])])
    return seen[int(np.argmin(delta_uv_prime(stand, plan.target.uv)))], "nearest to the target"


def _against(plan: Plan, i: int, white: WhitePoint, base: WhitePoint) -> Against:
    mired, duv = base.shift_to(white)
    steps = float(steps_apart(white.uv, base.uv))
    seen = words.seen(steps, plan.limits.tolerance_of(plan.heads[i].source))
    return Against(
        i=i,
        steps=steps,
        seen=seen,
        mired=mired,
        duv=duv,
        light=patch(white.uv, base.uv),
        base=patch(base.uv, base.uv),
    )
