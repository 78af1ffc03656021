"""What all lights that fall on the subject make together, and which of them spoils it most.

References
----------
CIE 15:2018, 7.1: tristimulus values of lights that are added add up. Each light's Y is its illuminance.
"""

from dataclasses import dataclass, replace

import numpy as np

from ...colour.observer.chromaticity import steps_apart, uv_of_xyz, xyz_of_uv
from ...colour.observer.data import Array
from ...model import Role
from ..pictures.light_path import patch
from ..plan.light import uv_then
from ..plan.plan import Plan
from ..readings.chromaticity import WhitePoint, white_at
from ..wording import words
from .ratios import dark, lux_of, planned

_WORTH_SAYING = 0.05
"""A source spoils the mix if the mix is at least this much nearer without it. Pages show less as 0.0.
[step]"""
_NO_CCT = "too far from white to have a CCT"


@dataclass(frozen=True)
class Spoiler:
    """The source without which the mix is nearest to the target: `nearer` steps, at `steps` from it."""

    i: int
    name: str
    nearer: float
    steps: float


@dataclass(frozen=True, eq=False)
class Mix:
    """A mixture of lights: (u, v) (2,), illuminance [lx], CCT [K] and Duv, None where it is no white.

    `parts` are the numbers of the heads in it. `steps` is the distance from the target. `light` and `target`
    are the patches of mix and target, ``#rrggbb``, for an eye adapted to the target. All three are None if
    there is no target. `spoiler` is None if leaving out any one part brings the mix no nearer.
    """

    uv: Array
    lux: float
    cct: float | None
    duv: float | None
    parts: tuple[int, ...]
    words: str = ""
    steps: float | None = None
    light: str | None = None
    target: str | None = None
    spoiler: Spoiler | None = None


@dataclass(frozen=True)
class LeftOut:
    """A source that falls on the subject and is not in the mix, and why not; `lit`: its light is known."""

    i: int
    name: str
    why: str
    lit: bool


def tristimulus(uv: Array, lux: Array) -> Array:
    """Return X, Y, Z, (n, 3), of lights of chromaticity `uv` (n, 2) and illuminance `lux` (n,) [lx]."""
    return xyz_of_uv(uv) * lux[:, None]


def mix(plan: Plan, *, gelled: bool, tolerance: float = 0.0) -> Mix | None:
    """Return the mix at the subject, as read or once the plan hangs; None where nothing can be mixed.

    Nothing spoils a mix within the `tolerance` [steps], and never the key, which the others are to match.
    """
    if gelled and not planned(plan):
        return None
    parts = tuple(
        i
        for i, head in enumerate(plan.heads)
        if head.source.lights_subject and not _why_not(plan, i, gelled=gelled)
    )
    if not parts:
        return None
    lights = tristimulus(
        np.array([_uv_of(plan, i, gelled) for i in parts]),
        np.array([lux_of(plan, i, gelled=gelled) for i in parts], dtype=np.float64),
    )
    return _mixed(plan, parts, lights, tolerance)


def left_out(plan: Plan) -> list[LeftOut]:
    """Return the sources that fall on the subject and cannot be mixed, in the plan's order.

    With a plan, that is once it hangs.
    """
    gelled = planned(plan)
    return [
        LeftOut(i, head.source.name, why, lux_of(plan, i, gelled=gelled) is not None)
        for i, head in enumerate(plan.heads)
        if head.source.lights_subject and (why := _why_not(plan, i, gelled=gelled))
    ]


def _why_not(plan: Plan, i: int, *, gelled: bool) -> str:
    head = plan.heads[i]
    if head.source.lamp_out:
        return dark(head.source)
    if lux_of(plan, i, gelled=gelled) is None:
        return "has no lux"
    if head.white is not None:
        return ""
    unread = any(problem.where.split(".")[-1] in ("level", "modifier") for problem in head.problems)
    return "was not read as it is used now" if unread else "reads too far from white"


def _uv_of(plan: Plan, i: int, gelled: bool) -> Array:
    """Return the chromaticity of a head that has one; where nothing can be advised it stays as it reads."""
    white = plan.heads[i].white
    assert white is not None, "what has no white is left out"
    after = uv_then(plan, i) if gelled else None
    return white.uv if after is None else after


def _mixed(plan: Plan, parts: tuple[int, ...], lights: Array, tolerance: float) -> Mix:
    whole = lights.sum(axis=0)
    uv = uv_of_xyz(whole)
    white = white_at(uv)
    mixed = Mix(uv, float(whole[1]), white.cct if white else None, white.duv if white else None, parts)
    if plan.target is None:
        return mixed if white else replace(mixed, words=_NO_CCT)
    steps = float(steps_apart(uv, plan.target.uv))
    return replace(
        mixed,
        words=_left_over(plan, steps, white, plan.target),
        steps=steps,
        light=patch(uv, plan.target.uv),
        target=patch(plan.target.uv, plan.target.uv),
        spoiler=_spoiler(plan, parts, lights, steps, plan.target) if steps > tolerance else None,
    )


def _left_over(plan: Plan, steps: float, white: WhitePoint | None, target: WhitePoint) -> str:
    tolerance = plan.limits.tolerance_steps
    if white is None:
        return f"{words.seen(steps, tolerance)}: {_NO_CCT}"
    return words.left_over(steps, *white.shift_to(target), tolerance, plan.ladder)


def _spoiler(
    plan: Plan, parts: tuple[int, ...], lights: Array, steps: float, target: WhitePoint
) -> Spoiler | None:
    """Leave out each part in turn, and return the one whose absence helps most, if it helps at all."""
    if len(parts) < 2:
        return None
    # Summed anew rather than taken away from the whole: a faint rest beside a bright part would be noise.
    others = ~np.eye(len(parts), dtype=np.bool_)
    without = steps_apart(uv_of_xyz(others.astype(np.float64) @ lights), target.uv)
    without[[plan.heads[i].source.role is Role.KEY for i in parts]] = np.inf
    best = int(np.argmin(without))
    if steps - without[best] < _WORTH_SAYING:
        return None
    name = plan.heads[parts[best]].source.name
    return Spoiler(parts[best], name, steps - float(without[best]), float(without[best]))
