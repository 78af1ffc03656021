"""The risk of each stack on one source, and from it the cost.

The risk of a stack is its expected loss (`loss`) over all that is uncertain (`stacks.uncertainty`). A stack
that a gaffer would not hang without a reason counts as half a step farther off, for each of these habits
(common practice, no source):

- Plus green on a source that is not too magenta, or minus green on one that is not too green.
- Two sheets of one family where there is one that does as much as both.

Most stacks are ruled out without their risk. By Jensen's inequality (`loss`) it is at least the loss of the
expected miss, and at least the expected loss of the mean offset. Where another stack beats such a lower
bound, it beats the stack.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache, partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import PER_STEP, stops
from ...colour.observer.data import Array
from ...colour.observer.loci import CC_PER_DUV
from ...model import Limits
from ..stacks.enumerate import NONE, Indices, allowed_by
from ..stacks.gel_arrays import CC_PER_MIRED, GelArrays
from ..stacks.prediction import Outcomes, PreparedSource, predict_stacks, stacked_each
from ..stacks.uncertainty import (
    ROUND,
    Certainty,
    Landing,
    landings,
    looks_same,
    steady_each,
    strangeness,
    strengths,
)
from .counted import affordable, cost_of, counted_on
from .loss import NARROWER, Scattered, chances_within, expected_loss, expected_losses, loss

GATHERED, NEARER = 0.7, 0.9
"""Two factors on standard deviations, for `Judge.within`: lamps of a kind spread less than its ensemble, and
results less than the scatter says. Set on the even rows of the accuracy check, so that the chance that is
stated is nearest to how often a stack does land within the tolerance."""
_NEAR = 0.25
"""A stack has brought the light near if it leaves at most this share of the distance to the target."""
FUSSY = 0.5
"""How much farther off a stack counts for each habit that it breaks. [step]"""
LEAST_NEEDED = 1.75
"""The least green or magenta that calls for gel: half of the trade's eighth. [CC] Common practice, no
source."""
_AS_MUCH = 0.1
"""One sheet does as much as two if its shift is the sum of theirs, give or take this share."""


class Read(NamedTuple):
    """The means of `times` readings behind a stack: `uv` (2,), `lux`, and `away`, off the target [step]."""

    uv: Array
    away: float
    times: int
    lux: float | None


@dataclass(frozen=True, eq=False)
class Judge:
    """Judges stacks on one source; the tolerance in `limits` is the source's own.

    `mapping` (2, 2) [step²] is the scatter that a dial setting adds; zero where the dials are as they were
    read. `allowed` (n,) are the gels that the limits leave, worked out where it is not given.
    """

    bare: PreparedSource
    gel_arrays: GelArrays
    limits: Limits
    mapping: Array = field(default_factory=partial(np.zeros, (2, 2)))
    allowed: NDArray[np.bool_] | None = None

    @property
    def shares(self) -> Array:
        """The weights of the offsets of a `Certainty`, (k,)."""
        return self.bare.ensemble.weights

    def counted(self, passed: Array) -> Array:
        """Return the loss of light that counts, (m,) [stop], for stacks that pass a share `passed` (m,)."""
        return counted_on(stops(passed), self.bare)

    def affordable(self, passed: Array) -> NDArray[np.bool_]:
        """Return which stacks keep within the limit of light, by the share that they pass, (m,)."""
        return affordable(stops(passed) - self.bare.least_stops, self.limits.max_stops)

    def at_least(self, outcomes: Outcomes, stacks: Indices) -> Array:
        """Return a lower bound (m,) of the risk of stacks (m, w) (`at_least_of`)."""
        [bound] = at_least_of([self], [stacks], [outcomes])
        return bound

    def outcomes(self, stacks: Indices) -> Outcomes:
        """Return what stacks (m, w) do to the source."""
        [outcomes] = predict_stacks([self.bare], self.gel_arrays, stacks)
        return outcomes

    def read(self, stacks: Indices) -> dict[int, Read]:
        """Return what was read behind stacks (m, w), by row: nothing here, for `Informed` knows readings."""
        return {}

    def same(self, sure: Certainty) -> list[int | None]:
        """Return for each stack, best first, the row of the first above it that looks the same, or None."""
        return looks_same(sure, self.bare.ensemble.weights)

    def certainty(self, stacks: Indices) -> Certainty:
        """Return how certain the outcomes of stacks (m, w) are."""
        [sure] = sure_of([self], [stacks])
        return sure

    def landed(self, stacks: Indices) -> Landing:
        """Return the outcomes of stacks (m, w), and how certain they are."""
        [found] = landings_of([self], [stacks])
        return found

    def risk(self, stacks: Indices, sure: Certainty) -> Array:
        """Return the risk (m,) [step] of stacks (m, w) whose certainty is `sure`."""
        [risk] = risks_of([self], [stacks], [sure])
        return risk

    def within(self, sure: Certainty) -> Array:
        """Return the probability (m,) that stacks land within the source's tolerance."""
        [chance] = within_of([self], [sure])
        return chance

    def cost(self, stacks: Indices, risk: Array, passed: Array) -> Array:
        """Return the cost (m,) [step] of stacks (m, w) from their risk [step] and the share they pass."""
        return cost_of(risk, passed, self.bare, (stacks != NONE).sum(axis=1))

    def closer(self, stacks: Indices, outcomes: Outcomes) -> Array:
        """Return a tighter lower bound (m,) of the risk (`closer_of`)."""
        [bound] = closer_of([self], [stacks], [outcomes.uv])
        return bound

    @cached_property
    def floor(self) -> tuple[float, float]:
        """Return the tolerance, and a risk that no stack is below. [step]

        A stack either brings the light near the target or does not. If it does, it moves the light most of
        the way there, and lamps outside the ensemble scatter by a share of that move. If it does not, the
        risk is at least the loss of the distance that is left.
        """
        tolerance, away = self.limits.tolerance_steps, self.bare.wanted.uv - self.bare.white.uv
        near = _NEAR * float(np.hypot(*(away * PER_STEP)))
        landed = self.bare.wanted.uv[None, :] + _NEAR * (self.bare.white.uv - self.bare.wanted.uv)
        covariance = self.steady + strangeness([self.bare], [landed])[0][:, None, None] * np.eye(2) / 2.0
        least = expected_loss(np.zeros((1, 1, 2)), np.ones(1), covariance, tolerance)[0]
        return tolerance, float(min(least, loss(np.array(near), tolerance)))

    @cached_property
    def steady(self) -> Array:
        """The scatter that is the same behind every stack."""
        [steady] = steady_each([self.bare], self.limits.accuracy)
        return steady + self.mapping

    def fussy(self, stacks: Indices) -> Array:
        """Return how much farther off stacks (m, w) count for the habits that they break, (m,) [step]."""
        kept = len(self.bare.keep)
        added = stacks[:, kept:] if (stacks[:, :kept] == self.bare.keep).all() else stacks
        return _fussy(self.gel_arrays, self._there, added, self._green_needed)

    @cached_property
    def _green_needed(self) -> float:
        """The green that the source needs; a negative one is magenta. [CC]"""
        return CC_PER_DUV * (self.bare.wanted.duv - self.bare.white.duv)

    @cached_property
    def open_gels(self) -> NDArray[np.bool_]:
        """Say which gels (n,) the limits leave."""
        return allowed_by(self.gel_arrays, self.limits) if self.allowed is None else self.allowed

    @cached_property
    def _there(self) -> NDArray[np.bool_]:
        """Say which gels (n,) are at hand."""
        return self.gel_arrays.ranked & (self.gel_arrays.stock > 0) & self.open_gels


def sure_of(judges: Sequence[Judge], stacks: Sequence[Indices]) -> list[Certainty]:
    """Return how certain the outcomes of stacks (m, w) are, as `landings_of` does."""
    return [one.sure for one in landings_of(judges, stacks)]


def landings_of(judges: Sequence[Judge], stacks: Sequence[Indices]) -> list[Landing]:
    """Return what stacks (m, w) do, and how certain that is, of each source or setting its own.

    The judges have one gel table and one accuracy, and none of them knows readings behind gels.
    """
    found, first = [], judges[0]
    there = landings([judge.bare for judge in judges], first.gel_arrays, stacks, first.limits.accuracy)
    for judge, (outcomes, sure) in zip(judges, there, strict=True):
        steps = np.sqrt(sure.steps**2 + ROUND**2 * judge.mapping.trace())
        sure = Certainty(sure.offsets, sure.covariance + judge.mapping, steps)
        found.append(Landing(outcomes, sure))
    return found


def risks_of(judges: Sequence[Judge], stacks: Sequence[Indices], sures: Sequence[Certainty]) -> list[Array]:
    """Return the risk (m,) [step] of stacks (m, w) by their certainty, of each source or setting its own."""
    return expected_losses(
        [
            Scattered(
                sure.offsets, judge.shares, sure.covariance, judge.limits.tolerance_steps, judge.fussy(rows)
            )
            for judge, rows, sure in zip(judges, stacks, sures, strict=True)
        ]
    )


def within_of(judges: Sequence[Judge], sures: Sequence[Certainty]) -> list[Array]:
    """Return the probability (m,) that stacks land within the tolerance of each source.

    None of the judges knows readings behind gels.
    """
    asked = []
    for judge, sure in zip(judges, sures, strict=True):
        weights, tolerance = judge.bare.ensemble.weights, judge.limits.tolerance_steps
        mean = np.einsum("mkc,k->mc", sure.offsets, weights)[:, None, :]
        near = mean + GATHERED * (sure.offsets - mean)
        asked.append(Scattered(near, weights, NEARER**2 * sure.covariance, tolerance))
    return chances_within(asked)


def at_least_of(
    judges: Sequence[Judge], stacks: Sequence[Indices], outcomes: Sequence[Outcomes]
) -> list[Array]:
    """Return a lower bound (m,) of the risk of each source's stacks (m, w): the loss of the expected miss."""
    each = zip(judges, stacks, outcomes, strict=True)
    steps = [there.steps + judge.fussy(own) for judge, own, there in each]
    sizes = [len(own) for own in stacks]
    tolerances = np.repeat([judge.limits.tolerance_steps for judge in judges], sizes)
    return np.split(loss(np.concatenate(steps), tolerances), np.cumsum(sizes)[:-1])


def closer_of(judges: Sequence[Judge], stacks: Sequence[Indices], uv: Sequence[Array]) -> list[Array]:
    """Return a tighter lower bound (m,) of the risk of stacks (m, w) that land at `uv` (m, 2) in the mean.

    It is the expected loss of the mean offset. It leaves out the scatter of other dyes, and narrows the rest
    a little (`loss.NARROWER`). The judges are as for `sure_of`, and each has its own stacks.
    """
    bares, gel_arrays = [judge.bare for judge in judges], judges[0].gel_arrays
    filters = stacked_each(gel_arrays.transmittances, stacks)
    sheets = strengths(bares, gel_arrays, stacks, filters, judges[0].limits.accuracy)
    steady, asked = steady_each(bares, judges[0].limits.accuracy), []
    for k, strange in enumerate(strangeness(bares, uv)):
        judge, offsets = judges[k], ((uv[k] - bares[k].wanted.uv) * PER_STEP)[:, None, :]
        scatter = NARROWER * (
            strange[:, None, None] * np.eye(2) / 2.0 + sheets[k] + (steady[k] + judge.mapping)
        )
        tolerance, farther = judge.limits.tolerance_steps, judge.fussy(stacks[k])
        asked.append(Scattered(offsets, np.ones(1), scatter, tolerance, farther))
    return expected_losses(asked)


def _fussy(gel_arrays: GelArrays, there: NDArray[np.bool_], added: Indices, needed: float) -> Array:
    """Return how much farther off stacks of added gels (m, w) count, (m,) [step].

    `there` (n,) are the gels at hand, `needed` the green that the source needs [CC], below zero magenta.
    """
    parts = _parts(gel_arrays, there.tobytes())
    in_parts = np.zeros(len(added), dtype=np.bool_)
    for first in range(added.shape[1]):
        for second in range(first + 1, added.shape[1]):
            in_parts |= parts[added[:, first], added[:, second]]
    green = gel_arrays.pushes[:, 1]
    against = (green > 0) & (needed < LEAST_NEEDED) | (green < 0) & (needed > -LEAST_NEEDED)
    reasons = in_parts.astype(np.float64) + np.append(against, False)[added].any(axis=1)
    return np.asarray(FUSSY * reasons)


@lru_cache(maxsize=32)
def _parts(gel_arrays: GelArrays, there: bytes) -> NDArray[np.bool_]:
    """Say for which pairs of gels one gel does as much as both, (n + 1, n + 1); the last is NONE."""
    at_hand = np.frombuffer(there, dtype=np.bool_)
    does = np.stack([gel_arrays.mired, gel_arrays.cc / CC_PER_MIRED], axis=1)
    parts = np.zeros((len(gel_arrays.names) + 1,) * 2, dtype=np.bool_)
    for family in set(gel_arrays.families):
        own = np.flatnonzero(np.array([name == family for name in gel_arrays.families]) & gel_arrays.ranked)
        for gel in own:
            both = does[own] + does[gel]
            apart = np.hypot(*(both[:, None, :] - does[own[at_hand[own]]]).transpose(2, 0, 1))
            near = apart <= _AS_MUCH * np.hypot(*both.T)[:, None]
            parts[gel, own] = near.any(axis=1)
    return parts
