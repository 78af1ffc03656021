"""Stacks judged by all that was read of a source: some as they were read, the others by what that tells.

A stack that nobody read yet may be tried, and what was read as better hung again: what it costs is the
expected least of its own cost and that of the best reading (after the expected improvement of Močkus, J.
1975, from memory), and a little for the trying. So what is surely a little worse is never tried, and what
may be much better is.
"""

from collections import Counter
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.data import Array
from ...model import Limits, Refused
from ..cost.counted import MOVE_IN_STEPS, STOP_IN_STEPS
from ..cost.judge import Judge, Read
from ..cost.loss import SHARES, chance_within, loss, scattered
from ..stacks.enumerate import NONE, Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource
from ..stacks.uncertainty import ALONG_LINE, ROUND, Certainty
from .posterior import Posterior, posterior

_TRYING = 0.05
"""What trying another stack costs where the best that was read is beyond the tolerance. [step] Set on the
even rows of the accuracy check."""
_LEFT_ALONE = 1.0
"""The same where it is within the tolerance, so that it is left alone unless something is likely to be nearer
by a step. [step] Our judgement."""
_BEYOND = 6.0
"""Once a head is metered behind gels, what stays beyond the tolerance costs so much more: somebody climbs
again for it. So of what may be tried the likeliest to be the last comes first, though it has a layer more.
[step] Set on the even rows of the accuracy check."""
_ORDER = 1e-6
"""What was read as worse costs so much more at least than what was read as better. [step]"""
_ONE_STEP = 1.0
_STOP_AT_MOST = 4.0 * STOP_IN_STEPS
"""A stop weighs no more than this to anybody, who would else have set a limit. [step] Our judgement."""
_KEPT = 4
"""So many lists of stacks are asked for a few times in turn: those that are ranked, shown, and were read."""


def judge_of(bare: PreparedSource, gel_arrays: GelArrays, limits: Limits) -> Judge:
    """Return who judges stacks on a source, by its own and its set's `limits` and all that was read of it."""
    own = limits.for_source(bare.source)
    known = posterior(bare, gel_arrays, own.accuracy)
    return Judge(bare, gel_arrays, own) if known is None else Informed(bare, gel_arrays, own, known=known)


@dataclass(frozen=True, eq=False, kw_only=True)
class Informed(Judge):
    """Judges stacks on a source that was read behind gels: `known` is what that tells."""

    known: Posterior

    @property
    def shares(self) -> Array:
        """What the places of a certainty weigh: there is one."""
        return np.ones(1)

    def outcomes(self, stacks: Indices) -> Outcomes:
        """Return what stacks (m, w) do to the source: as read where they were."""
        outcomes, _ = self._landed(stacks)
        return outcomes

    def certainty(self, stacks: Indices) -> Certainty:
        """Return how certain the outcomes of stacks (m, w) are."""
        outcomes, covariance = self._landed(stacks)
        steps = ROUND * np.sqrt(covariance.trace(axis1=1, axis2=2))
        return Certainty(self.known.places(outcomes.uv), covariance, steps)

    def _landed(self, stacks: Indices) -> tuple[Outcomes, Array]:
        key = (stacks.shape, stacks.tobytes())
        if key not in self._known:
            while len(self._known) >= _KEPT:
                del self._known[next(iter(self._known))]
            self._known[key] = self._as_read(stacks)
        return self._known[key]

    @cached_property
    def _known(self) -> dict[tuple[tuple[int, ...], bytes], tuple[Outcomes, Array]]:
        return {}

    def _as_read(self, stacks: Indices) -> tuple[Outcomes, Array]:
        outcomes, covariance = self.known.landed(stacks)
        for row, read in self.read(stacks).items():
            outcomes.uv[row], outcomes.steps[row] = read.uv, read.away
            covariance[row] = self.known.repeats / read.times + self.known.alike
        return outcomes, covariance

    def read(self, stacks: Indices) -> dict[int, Read]:
        """Return which of stacks (m, w) were read, by their place."""
        return {row: self.known.read[gels] for row, gels in self._named(stacks).items()}

    def risk(self, stacks: Indices, sure: Certainty) -> Array:
        """Return the risk (m,) of stacks (m, w): what is lost by hanging them, or by trying them. [step]"""
        fussy, rest = self.fussy(stacks), self._rest(stacks)
        best = min(self._prices.values(), default=np.inf)
        places = sure.places[:, 0, None, :] + scattered(sure.covariance)
        away, tolerance = np.hypot(places[..., 0], places[..., 1]), self.limits.tolerance_steps
        lost = loss(away + fussy[:, None], tolerance) + _BEYOND * (away > tolerance)
        risk = np.minimum(lost, (best - rest)[:, None]) @ SHARES + self._trying
        for row, gels in self._named(stacks).items():
            risk[row] = self._prices[gels] - rest[row]
        return np.asarray(risk)

    def beats_by(self, stacks: Indices, risk: Array) -> Array:
        """Return the expected loss (m,) of stacks, and what their moves weigh, where it is known what hangs.

        A try that may be taken back beats none that hangs.
        """
        moves = 0 if self._hanging is None else self.work(stacks)
        return super().risk(stacks, self.certainty(stacks)) + MOVE_IN_STEPS * moves

    def work(self, stacks: Indices) -> NDArray[np.intp]:
        """Return how many sheets are taken off or hung to make stacks (m, w) of what hangs, (m,).

        Where nobody said what hangs, or the table does not know it, layers.
        """
        if self._hanging is None:
            return super().work(stacks)
        same = sum(np.minimum((stacks == gel).sum(axis=1), n) for gel, n in self._hanging.items())
        return np.asarray(super().work(stacks) + self._hanging.total() - 2 * same)

    def worth_listing(self, stacks: Indices, risk: Array, lost: Array) -> NDArray[np.bool_]:
        """Return which of stacks (m, w) anybody would hang, (m,).

        Where what hangs was read, that is what beats it by more than its moves weigh, and is not beaten by
        what loses a little more light for no more moves. Bare is listed in any case.
        """
        listed = super().worth_listing(stacks, risk, lost)
        now = None if self._hanging is None else tuple(sorted(self._hanging.elements()))
        hung = next((row for row, gels in self._named(stacks).items() if gels == now), None)
        if hung is None:
            return listed
        moves = self.work(stacks)
        more = np.maximum(lost[:, None] - lost, 0.0)
        beaten = (risk[:, None] + _STOP_AT_MOST * more < risk) & (moves[:, None] <= moves)
        bare = super().work(stacks) == len(self.bare.keep)
        return np.asarray(bare | ((risk < risk[hung]) & ~beaten.any(axis=0)))

    @cached_property
    def _hanging(self) -> Counter[int] | None:
        hung = self.bare.source.hanging
        with suppress(Refused):
            return None if hung is None else Counter(self.gel_arrays.find(hung))
        return None

    def within(self, sure: Certainty) -> Array:
        """Return the probability (m,) that stacks land within the source's tolerance."""
        return chance_within(sure.places, self.shares, sure.covariance, self.limits.tolerance_steps)

    def risks(self, stacks: Indices, outcomes: Outcomes) -> Array:
        """Return the risk (m,) of stacks; infinite beyond the limit of light, but for the first."""
        there = np.flatnonzero(np.isfinite(outcomes.steps) & self.affordable(outcomes.passed))
        there = np.union1d(there, np.flatnonzero(np.isfinite(outcomes.steps[:1])))
        risk = np.full(len(stacks), np.inf)
        risk[there] = self.risk(stacks[there], self.certainty(stacks[there]))
        return risk

    def same(self, sure: Certainty) -> list[int | None]:
        """Return for each stack, best first, the first above it that looks the same, or None.

        Each counts as unsure by itself, though they are unsure alike: so fewer are said to look the same.
        """
        found: list[int | None] = [None] * len(sure.places)
        spread = sure.covariance.trace(axis1=1, axis2=2)
        for k in range(1, len(sure.places)):
            apart = np.hypot(*(sure.places[:k, 0] - sure.places[k, 0]).T)
            near = apart + ALONG_LINE * np.sqrt((spread[:k] + spread[k]) / 2.0) <= _ONE_STEP
            found[k] = int(np.flatnonzero(near)[0]) if near.any() else None
        return found

    @cached_property
    def _trying(self) -> float:
        read = self.known.read.values()
        if not read:
            return 0.0
        near = min(one.away for one in read) <= self.limits.tolerance_steps
        return _LEFT_ALONE if near else _TRYING

    @cached_property
    def _prices(self) -> dict[tuple[int, ...], float]:
        """What the stacks that were read cost, by their gels: what was read as worse costs no less."""
        read = sorted(self.known.read.items(), key=lambda item: item[1].away)
        if not read:
            return {}
        stacks = np.full((len(read), max(len(gels) for gels, _ in read)), NONE, dtype=np.intp)
        for row, (gels, _) in enumerate(read):
            stacks[row, : len(gels)] = gels
        away = np.array([one.away for _, one in read])
        tolerance = self.limits.tolerance_steps
        price = loss(away + self.fussy(stacks), tolerance) + _BEYOND * (away > tolerance) + self._rest(stacks)
        price = np.maximum.accumulate(price + _ORDER * np.arange(len(read)))
        return {gels: float(p) for (gels, _), p in zip(read, price, strict=True)}

    def _named(self, stacks: Indices) -> dict[int, tuple[int, ...]]:
        """Return the sorted gels of those stacks (m, w) that were read, by their place."""
        sets = (tuple(sorted(i for i in stack if i != NONE)) for stack in stacks.tolist())
        return {row: gels for row, gels in enumerate(sets) if gels in self.known.read}

    def _rest(self, stacks: Indices) -> Array:
        """Return what stacks (m, w) cost beside their risk: light and layers. [step]"""
        return self.cost(stacks, np.zeros(len(stacks)), self.outcomes(stacks).passed)
