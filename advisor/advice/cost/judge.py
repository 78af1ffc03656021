"""What stacks on one source are worth: the risk of each, and with it what it costs.

The risk of a stack is its expected loss (`loss`) over all that is uncertain (`certainty`). What a gaffer
would not hang without a reason (`plain`) is counted half a step farther off than it is.

Most stacks need not be looked at so closely. By Jensen's inequality (`loss`) the risk is no less than the
loss of the expected miss, nor than the expected loss of the mean place; what is beaten by such a bound is
beaten.
"""

from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...colour.data import Array
from ...colour.loci import CC_PER_DUV
from ...colour.predict import stops
from ...model import Limits
from ..stacks.enumerate import NONE, Indices, allowed_by
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource, predict_stacks, stacked
from ..stacks.uncertainty import (
    PER_STEP,
    ROUND,
    Certainty,
    certainty,
    level,
    looks_same,
    meter,
    strangeness,
    strength,
)
from .counted import affordable, cost, counted_loss, tenths
from .frontier import Least
from .habits import fussy
from .loss import NARROWER, chance_within, expected_loss, loss

GATHERED, NEARER = 0.7, 0.9
"""Lamps of a kind lie so much nearer together than its ensemble, and all outcomes so much nearer to what is
predicted than the scatter says, as standard deviations: set on the even rows of the accuracy check, where the
chance so stated is nearest to what comes of it."""
_NEAR = 0.25
"""A stack that leaves no more than this share of the way has brought the light near."""
_CHUNK = 64
"""Stacks judged at first; then twice as many each time."""


class Read(NamedTuple):
    """What was read behind a stack: the mean `uv` (2,) of `times` readings, how far `away` [step], lux."""

    uv: Array
    away: float
    times: int
    lux: float | None


@dataclass(frozen=True, eq=False)
class Judge:
    """Judges stacks on one source; the tolerance in `limits` is the source's own.

    `mapping` (2, 2) [step²] is what a setting of dials leaves open: none where the source is as it was read.
    """

    bare: PreparedSource
    gel_arrays: GelArrays
    limits: Limits
    mapping: Array = field(default_factory=lambda: np.zeros((2, 2)))

    @property
    def shares(self) -> Array:
        """What the places of a certainty weigh, (k,)."""
        return self.bare.ensemble.weights

    def counted(self, passed: Array) -> Array:
        """Return the light that counts (m,) where a share `passed` (m,) is left. [stop]"""
        return counted_loss(stops(passed), self.bare.least_stops)

    def affordable(self, passed: Array) -> NDArray[np.bool_]:
        """Return which stacks, that pass so much light, keep within the limit."""
        return affordable(stops(passed) - self.bare.least_stops, self.limits.max_stops)

    def at_least(self, outcomes: Outcomes, stacks: Indices) -> Array:
        """Return a lower bound (m,) of the risk of stacks (m, w): the loss of the expected miss."""
        return loss(outcomes.steps + self.fussy(stacks), self.limits.tolerance_steps)

    def outcomes(self, stacks: Indices) -> Outcomes:
        """Return what stacks (m, w) do to the source."""
        [outcomes] = predict_stacks([self.bare], self.gel_arrays, stacks)
        return outcomes

    def read(self, stacks: Indices) -> dict[int, Read]:
        """Return what was read behind stacks (m, w), by their places: nothing, where there is nothing."""
        return {}

    def same(self, sure: Certainty) -> list[int | None]:
        """Return for each stack, best first, the place of the first above it that looks the same, or None."""
        return looks_same(sure, self.bare.ensemble.weights)

    def certainty(self, stacks: Indices) -> Certainty:
        """Return how certain the outcomes of stacks (m, w) are."""
        sure = certainty(self.bare, self.gel_arrays, stacks, self.limits.accuracy)
        steps = np.sqrt(sure.steps**2 + ROUND**2 * self.mapping.trace())
        return Certainty(sure.places, sure.covariance + self.mapping, steps)

    def risk(self, stacks: Indices, sure: Certainty) -> Array:
        """Return the risk (m,) of stacks (m, w) of which it is known how certain they are. [step]"""
        tolerance = self.limits.tolerance_steps
        return expected_loss(sure.places, self.shares, sure.covariance, tolerance, self.fussy(stacks))

    def beats_by(self, stacks: Indices, risk: Array) -> Array:
        """Return by what stacks (m, w) of a `risk` (m,) beat others of no less light and layers, (m,)."""
        return risk

    def work(self, stacks: Indices) -> NDArray[np.intp]:
        """Return how much work stacks (m, w) are, beside which risk and light are compared: layers, (m,)."""
        return np.asarray((stacks != NONE).sum(axis=1))

    def worth_listing(self, stacks: Indices, risk: Array, lost: Array) -> NDArray[np.bool_]:
        """Return which of stacks (m, w) anybody would hang, (m,).

        `risk` is what they beat others by, `lost` the light that counts, (m,) each.
        """
        return np.ones(len(stacks), dtype=np.bool_)

    def within(self, sure: Certainty) -> Array:
        """Return the probability (m,) that stacks land within the source's tolerance."""
        weights, tolerance = self.bare.ensemble.weights, self.limits.tolerance_steps
        mean = np.einsum("mkc,k->mc", sure.places, weights)[:, None, :]
        near, scatter = mean + GATHERED * (sure.places - mean), NEARER**2 * sure.covariance
        return chance_within(near, weights, scatter, tolerance)

    def cost(self, stacks: Indices, risk: Array, passed: Array) -> Array:
        """Return what stacks (m, w) of a risk (m,) cost, that pass so much light (m,). [step]"""
        return cost(risk, self.counted(passed), (stacks != NONE).sum(axis=1))

    def risks(self, stacks: Indices, outcomes: Outcomes) -> Array:
        """Return the risk (m,) of those stacks that may be on the front; infinite for the others.

        Left out is what is beaten for certain by another that was judged: of a lower risk than the bound, no
        more light lost that counts and no more layers. The first stack is always judged.
        """
        risk, bound = np.full(len(stacks), np.inf), self.at_least(outcomes, stacks)
        lost, layers = tenths(self.counted(outcomes.passed)), (stacks != NONE).sum(axis=1)
        order = np.argsort(cost(bound, lost, layers), kind="stable")
        order = order[np.isfinite(bound[order]) & (self.affordable(outcomes.passed[order]) | (order == 0))]
        known, size = Least(), _CHUNK
        while len(order):
            here, order = order[:size], order[size:]
            here = here[~known.beats(self.closer(stacks[here], outcomes.at(here)), lost[here], layers[here])]
            risk[here] = self.risk(stacks[here], self.certainty(stacks[here]))
            known.add(risk[here], lost[here], layers[here])
            order, size = order[~known.beats(bound[order], lost[order], layers[order])], size * 2
        if np.isfinite(bound[:1]).all() and not np.isfinite(risk[0]):
            risk[:1] = self.risk(stacks[:1], self.certainty(stacks[:1]))
        return risk

    def closer(self, stacks: Indices, outcomes: Outcomes) -> Array:
        """Return a nearer lower bound (m,) of the risk: the expected loss of the mean place.

        The scatter counts without what other dyes add to it, and a little narrower (`loss.NARROWER`).
        """
        bare = self.bare
        filters = stacked(self.gel_arrays.transmittances, stacks)
        sheets = strength(bare, self.gel_arrays, stacks, filters, self.limits.accuracy)
        strange = strangeness(bare, outcomes.uv)[:, None, None] * np.eye(2) / 2.0
        places = ((outcomes.uv - bare.wanted.uv) * PER_STEP)[:, None, :]
        one, tolerance = np.ones(1), self.limits.tolerance_steps
        scatter = NARROWER * (strange + sheets + self._steady)
        return expected_loss(places, one, scatter, tolerance, self.fussy(stacks))

    @cached_property
    def floor(self) -> tuple[float, float]:
        """Return the tolerance, and what no stack has less risk than. [step]

        A stack that brings the light near the target moves it nearly as far as the target is away, and lamps
        that no ensemble foresees are scattered by a share of that. What lands farther off has at least the
        loss of that distance.
        """
        tolerance, away = self.limits.tolerance_steps, self.bare.wanted.uv - self.bare.white.uv
        near = _NEAR * float(np.hypot(*(away * PER_STEP)))
        landed = self.bare.wanted.uv[None, :] + _NEAR * (self.bare.white.uv - self.bare.wanted.uv)
        covariance = self._steady + strangeness(self.bare, landed)[:, None, None] * np.eye(2) / 2.0
        least = expected_loss(np.zeros((1, 1, 2)), np.ones(1), covariance, tolerance)[0]
        return tolerance, float(min(least, loss(np.array(near), tolerance)))

    @cached_property
    def _steady(self) -> Array:
        """The scatter that is the same behind every stack."""
        return meter(self.bare.white, self.limits.accuracy) + level(self.bare) + self.mapping

    def fussy(self, stacks: Indices) -> Array:
        """Return how much farther off stacks (m, w) count for what nobody hangs without a reason. [step]"""
        kept = len(self.bare.keep)
        added = stacks[:, kept:] if (stacks[:, :kept] == self.bare.keep).all() else stacks
        return fussy(self.gel_arrays, self._there, added, self._green_needed)

    @cached_property
    def _green_needed(self) -> float:
        """The green that the source needs, below zero magenta. [CC]"""
        return CC_PER_DUV * self.bare.white.shift_to(self.bare.wanted)[1]

    @cached_property
    def _there(self) -> NDArray[np.bool_]:
        """Say which gels (n,) are at hand."""
        return self.gel_arrays.ranked & (self.gel_arrays.stock > 0) & allowed_by(self.gel_arrays, self.limits)
