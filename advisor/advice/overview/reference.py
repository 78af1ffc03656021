"""The DP's look: how far every source sits from a reference, and which way."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...colour.observer.data import Array
from ...model import Role, Seen
from ..pictures.light_path import patch
from ..plan.light import uv_behind
from ..plan.plan import Plan
from ..readings.chromaticity import WhitePoint, white_at
from ..wording import words


@dataclass(frozen=True)
class Against:
    """The `i`-th head against the reference as both stand: what the eye makes of it, and which way.

    What hangs counts with its gels, as read behind them where that was read; everything else bare. `mired`
    is positive where the head is warmer, `duv` where it is greener. `hung` is the distance, in steps, once
    the plan hangs on both, and `seen_hung` what the eye makes of that; None where there is none. `light` and
    `base` are the patches of the head and of the reference, as ``#rrggbb``, to an eye that is set to the
    reference.
    """

    i: int
    steps: float
    seen: Seen
    words: str
    mired: float
    duv: float
    hung: float | None
    seen_hung: Seen | None
    light: str
    base: str


def against(plan: Plan, reference: int) -> list[Against]:
    """Compare the heads of a plan with one of them, the plainest first; those without a white stay out."""
    base = _standing(plan, reference)
    if base is None:
        return []
    base_hung = uv_behind(plan, reference)
    found = [_against(plan, i, base, base_hung) for i in range(len(plan.heads)) if i != reference]
    return sorted((a for a in found if a is not None), key=lambda a: -a.steps)


def usual_reference(plan: Plan, matched: str | None = None) -> tuple[int, str] | None:
    """Return the place of the head to compare with where nobody chose one, and why it is that one.

    It is the one that is to be `matched`, else a key, else what stands nearest to the target; of what has a
    white. None where nothing has.
    """
    seen = [i for i, head in enumerate(plan.heads) if head.white is not None]
    if not seen:
        return None
    for i in seen:
        if plan.heads[i].source.name == matched:
            return i, "all are to match it"
    for i in seen:
        if plan.heads[i].source.role is Role.KEY:
            return i, "the key"
    if plan.target is None:
        return seen[0], "the first"
    wanted = plan.target.uv

    def off(i: int) -> float:
        stands = _standing(plan, i)
        assert stands is not None, "only those with a white are asked"
        return float(delta_uv_prime(stands.uv, wanted))

    return min(seen, key=off), "nearest to the target"


def will_sit_off(rows: Sequence[Against], tolerance: float) -> int:
    """Count those off by more than a tolerance [step] once the plan hangs; without a plan, as they stand."""
    return sum(_in_the_end(row) > tolerance for row in rows)


def will_match(rows: Sequence[Against]) -> bool:
    """Say whether no eye will tell any of them from the reference once the plan hangs."""
    return all((row.seen_hung or row.seen) is Seen.MATCHES for row in rows)


def _in_the_end(row: Against) -> float:
    return row.steps if row.hung is None else row.hung


def _standing(plan: Plan, i: int) -> WhitePoint | None:
    """Return the white of the `i`-th head as it stands: behind its gels where they hang, else bare."""
    head = plan.heads[i]
    after = uv_behind(plan, i) if head.hangs else None
    return (None if after is None else white_at(after)) or head.white


def _against(plan: Plan, i: int, base: WhitePoint, base_hung: Array | None) -> Against | None:
    white = _standing(plan, i)
    if white is None:
        return None
    mired, duv = base.shift_to(white)
    steps = float(delta_uv_prime(white.uv, base.uv)) / STEP_DELTA_UV
    after, tolerance = uv_behind(plan, i), plan.limits.tolerance_steps
    seen = words.seen(steps, tolerance)
    hung = (
        None
        if after is None or base_hung is None
        else float(delta_uv_prime(after, base_hung)) / STEP_DELTA_UV
    )
    return Against(
        i=i,
        steps=steps,
        seen=seen,
        words=words.beside(mired, duv, plan.ladder, told=seen is not Seen.MATCHES),
        mired=mired,
        duv=duv,
        light=patch(white.uv, base.uv),
        base=patch(base.uv, base.uv),
        hung=hung,
        seen_hung=None if hung is None else words.seen(hung, tolerance),
    )
