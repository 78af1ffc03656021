"""Stacks judged by all readings of a source: those that were read by their readings, the others by the fit.

Somebody may try a stack that nobody has read. If it turns out worse, they hang the best one again. So the
cost of a stack that was not read is the expected value of the lesser of two costs, its own and that of the
best reading that the limits leave (after the expected improvement of Močkus, J. 1975, from memory), plus a
little for the try. A stack that is surely a little worse is never tried. One that may be much better is.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.data import Array
from ...model import Limits, Refused
from ..cost.counted import MOVE_IN_STEPS, STOP_IN_STEPS, by_cost, cost, cost_of, pareto
from ..cost.judge import Judge, Read, sure_of, within_of
from ..cost.loss import SHARES, chance_within, loss, scattered
from ..stacks.enumerate import NONE, Indices, allowed_by
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource
from ..stacks.uncertainty import ALONG_LINE, ROUND, Certainty, Landing, looks_same
from .may_hang import no_use, that_may_hang
from .posterior import Posterior, posteriors

_TRYING = 0.05
"""The cost of a try while the best reading is beyond the tolerance. [step] Set on the even rows of the
accuracy check."""
_LEFT_ALONE = 1.0
"""The cost of a try once the best reading is within the tolerance. That stack then stays, unless another is
likely to be a step nearer. [step] Our judgement."""
_BEYOND = 6.0
"""What a result beyond the tolerance costs on top, once a head has been metered behind gels: somebody has to
climb again. So the stack that is likeliest to end the work comes first, even with a layer more. [step] Set on
the even rows of the accuracy check."""
_ORDER = 1e-6
"""The least difference in cost between a reading and the next better one. [step]"""
_ONE_STEP = 1.0
_STOP_AT_MOST = 4.0 * STOP_IN_STEPS
"""The most that a stop of light can weigh: whoever minds it more has set a limit. [step] Our judgement."""
_KEPT = 4
"""How many lists of stacks are kept: those ranked, shown and read are each asked for several times."""


def judge_of(bare: PreparedSource, gel_arrays: GelArrays, limits: Limits) -> Judge:
    """Return the judge of stacks on a source, by the set's `limits`, the source's own, and all readings."""
    [judge] = judges_of([bare], gel_arrays, limits)
    return judge


def judges_of(bares: Sequence[PreparedSource], gel_arrays: GelArrays, limits: Limits) -> list[Judge]:
    """Return the judge of each source, as `judge_of` does."""
    own = limits.for_each([bare.source for bare in bares])
    # Most sources have no limits of their own: what the set's leave of the gels is the same for all of them.
    allowed = {id(one): allowed_by(gel_arrays, one) for one in {id(one): one for one in own}.values()}
    fits = posteriors(bares, gel_arrays, limits.accuracy)
    return [
        Judge(bare, gel_arrays, one, allowed=allowed[id(one)])
        if known is None
        else Informed(bare, gel_arrays, one, allowed=allowed[id(one)], known=known)
        for bare, one, known in zip(bares, own, fits, strict=True)
    ]


def certainty_each(
    judges: Sequence[Judge], stacks: Sequence[Indices], rows: Sequence[Indices]
) -> list[Certainty]:
    """Return how certain the outcomes of some `rows` of stacks (m, w) are, of each source its own."""
    plain = [k for k, judge in enumerate(judges) if not isinstance(judge, Informed)]
    some = [stacks[k][rows[k]] for k in plain]
    sures = sure_of([judges[k] for k in plain], some) if plain else []
    found = dict(zip(plain, sures, strict=True))
    return [
        found[k] if k in found else judge.certainty(stacks[k]).at(rows[k]) for k, judge in enumerate(judges)
    ]


def within_each(judges: Sequence[Judge], sures: Sequence[Certainty]) -> list[Array]:
    """Return the probability (m,) that stacks land within the tolerance, of each source its own."""
    plain = [k for k, judge in enumerate(judges) if not isinstance(judge, Informed)]
    chances = within_of([judges[k] for k in plain], [sures[k] for k in plain]) if plain else []
    found = dict(zip(plain, chances, strict=True))
    return [found[k] if k in found else judge.within(sures[k]) for k, judge in enumerate(judges)]


def reads_of(judges: Sequence[Judge], stacks: Sequence[Indices]) -> list[dict[int, Read]]:
    """Return what was read behind stacks (m, w) of each source, by row, without those nobody read."""
    return [
        judge.read(own) if isinstance(judge, Informed) else {}
        for judge, own in zip(judges, stacks, strict=True)
    ]


def same_of(judges: Sequence[Judge], sures: Sequence[Certainty]) -> list[list[int | None]]:
    """Return for each stack of each source the row of the first above it that looks the same, or None."""
    plain = [k for k, judge in enumerate(judges) if not isinstance(judge, Informed)]
    found = {k: looks_same(sures[k], judges[k].bare.ensemble.weights) for k in plain}
    return [found[k] if k in found else judge.same(sures[k]) for k, judge in enumerate(judges)]


@dataclass(frozen=True, eq=False, kw_only=True)
class Informed(Judge):
    """Judges stacks on a source that was read behind gels. `known` is the fit to those readings."""

    known: Posterior

    @property
    def shares(self) -> Array:
        """The weights of the offsets of a `Certainty`, (1,): there is one offset."""
        return np.ones(1)

    def outcomes(self, stacks: Indices) -> Outcomes:
        """Return what stacks (m, w) do to the source: as read, or as the fit predicts."""
        outcomes, _ = self._landed(stacks)
        return outcomes

    def landed(self, stacks: Indices) -> Landing:
        """Return the outcomes of stacks (m, w), and how certain they are."""
        return Landing(self.outcomes(stacks), self.certainty(stacks))

    def certainty(self, stacks: Indices) -> Certainty:
        """Return how certain the outcomes of stacks (m, w) are."""
        outcomes, covariance = self._landed(stacks)
        steps = ROUND * np.sqrt(covariance.trace(axis1=1, axis2=2))
        return Certainty(self.known.offsets(outcomes.uv), covariance, steps)

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
        """Return what was read behind stacks (m, w), by row; rows that nobody read are left out."""
        return {row: self.known.read[gels] for row, gels in self._named(stacks).items()}

    def risk(self, stacks: Indices, sure: Certainty) -> Array:
        """Return the risk (m,) [step] of stacks (m, w): of hanging one that was read, of trying another."""
        fussy, rest = self.fussy(stacks), self._rest(stacks, self.outcomes(stacks).passed)
        best = min(self._priced(self._may_hang).values(), default=np.inf)
        offsets = sure.offsets[:, 0, None, :] + scattered(sure.covariance)
        away, tolerance = np.hypot(offsets[..., 0], offsets[..., 1]), self.limits.tolerance_steps
        lost = loss(away + fussy[:, None], tolerance) + _BEYOND * (away > tolerance)
        risk = np.minimum(lost, (best - rest)[:, None]) @ SHARES + self._trying
        for row, gels in self._named(stacks).items():
            risk[row] = self._prices[gels] - rest[row]
        return np.asarray(risk)

    def ordered(self, stacks: Indices, counted: Array, risk: Array) -> Indices:
        """Return the rows of stacks (m, w) that are worth listing, given their risk (m,), by rising cost.

        `counted` (m,) [stop] is the loss of light that counts. What no other beats is listed, and what was
        read, beaten or not. If what hangs is known and was read, moves count in place of layers.
        Then the list has the best stack for each number of moves, as long as it is worth its moves.
        """
        was_read = np.isin(np.arange(len(stacks)), list(self.read(stacks)))
        able = np.flatnonzero(np.isfinite(risk) & (was_read | ~no_use(self, stacks)))
        some, lost = stacks[able], counted[able]
        layers = (some != NONE).sum(axis=1)
        price, beats = cost(risk[able], lost, layers), self._beats_by(stacks, able)
        shown = was_read[able]
        front = np.union1d(pareto(beats, lost, self._work(some)), np.flatnonzero(shown))
        shown[front] |= self._worth_listing(some[front], beats[front], lost[front])
        shown[np.argmin(price)] = True
        return np.asarray(able[shown][by_cost(price[shown], layers[shown], lost[shown])])

    def _beats_by(self, stacks: Indices, some: Indices) -> Array:
        """Return the expected loss [step] of `some` stacks (m, w), plus their moves if we know what hangs.

        That a try can be undone does not count here: it must not let a stack beat the one that hangs.
        """
        moves = 0 if self._hanging is None else self._work(stacks[some])
        return super().risk(stacks[some], self.certainty(stacks).at(some)) + MOVE_IN_STEPS * moves

    def _work(self, stacks: Indices) -> NDArray[np.intp]:
        """Return how many sheets come off or go on to turn what hangs into stacks (m, w), (m,).

        It is the number of layers where nobody said what hangs, or the gel table does not have it.
        """
        layers = np.asarray((stacks != NONE).sum(axis=1))
        if self._hanging is None:
            return layers
        same = sum(np.minimum((stacks == gel).sum(axis=1), n) for gel, n in self._hanging.items())
        return np.asarray(layers + self._hanging.total() - 2 * same)

    def _worth_listing(self, stacks: Indices, risk: Array, lost: Array) -> NDArray[np.bool_]:
        """Return which of stacks (m, w) on the front are worth listing, (m,).

        Where nobody read what hangs, all are. Otherwise a stack is listed if its `risk`, which counts moves,
        is less than that of what hangs, and no stack of as few moves beats it by more than the light it loses
        on top. Bare is always listed.
        """
        now = None if self._hanging is None else tuple(sorted(self._hanging.elements()))
        hung = next((row for row, gels in self._named(stacks).items() if gels == now), None)
        if hung is None:
            return np.ones(len(stacks), dtype=np.bool_)
        moves = self._work(stacks)
        more = np.maximum(lost[:, None] - lost, 0.0)
        beaten = (risk[:, None] + _STOP_AT_MOST * more < risk) & (moves[:, None] <= moves)
        bare = (stacks != NONE).sum(axis=1) == len(self.bare.keep)
        return np.asarray(bare | ((risk < risk[hung]) & ~beaten.any(axis=0)))

    @cached_property
    def _hanging(self) -> Counter[int] | None:
        hung = self.bare.source.hanging
        with suppress(Refused):
            return None if hung is None else Counter(self.gel_arrays.find(hung))
        return None

    def within(self, sure: Certainty) -> Array:
        """Return the probability (m,) that stacks land within the source's tolerance."""
        return chance_within(sure.offsets, self.shares, sure.covariance, self.limits.tolerance_steps)

    def risks(self, stacks: Indices, outcomes: Outcomes) -> Array:
        """Return the risk (m,) [step] of stacks; infinite beyond the limit of light, except for the first."""
        there = np.flatnonzero(np.isfinite(outcomes.steps) & self.affordable(outcomes.passed))
        there = np.union1d(there, np.flatnonzero(np.isfinite(outcomes.steps[:1])))
        risk = np.full(len(stacks), np.inf)
        risk[there] = self.risk(stacks[there], self.certainty(stacks).at(there))
        return risk

    def same(self, sure: Certainty) -> list[int | None]:
        """Return for each stack, best first, the row of the first above it that looks the same, or None.

        The errors of two stacks count as independent, though they are mostly shared. So too few stacks look
        the same, never too many.
        """
        found: list[int | None] = [None] * len(sure.offsets)
        spread = sure.covariance.trace(axis1=1, axis2=2)
        for k in range(1, len(sure.offsets)):
            apart = np.hypot(*(sure.offsets[:k, 0] - sure.offsets[k, 0]).T)
            near = apart + ALONG_LINE * np.sqrt((spread[:k] + spread[k]) / 2.0) <= _ONE_STEP
            found[k] = int(np.flatnonzero(near)[0]) if near.any() else None
        return found

    @cached_property
    def _trying(self) -> float:
        if not self._may_hang:
            return 0.0
        near = min(one.away for one in self._may_hang.values()) <= self.limits.tolerance_steps
        return _LEFT_ALONE if near else _TRYING

    @cached_property
    def _may_hang(self) -> dict[tuple[int, ...], Read]:
        return that_may_hang(self, self.known.read, self._hanging)

    @cached_property
    def _prices(self) -> dict[tuple[int, ...], float]:
        return self._priced(self.known.read)

    def _priced(self, found: Mapping[tuple[int, ...], Read]) -> dict[tuple[int, ...], float]:
        """Return the cost [step] of each stack that was read, by its gels: a worse reading costs more."""
        read = sorted(found.items(), key=lambda item: item[1].away)
        if not read:
            return {}
        stacks = np.full((len(read), max(len(gels) for gels, _ in read)), NONE, dtype=np.intp)
        for row, (gels, _) in enumerate(read):
            stacks[row, : len(gels)] = gels
        away = np.array([one.away for _, one in read])
        tolerance = self.limits.tolerance_steps
        rest = self._rest(stacks, super().outcomes(stacks).passed)  # readings move colour alone
        price = loss(away + self.fussy(stacks), tolerance) + _BEYOND * (away > tolerance) + rest
        price = np.maximum.accumulate(price + _ORDER * np.arange(len(read)))
        return {gels: float(p) for (gels, _), p in zip(read, price, strict=True)}

    def _named(self, stacks: Indices) -> dict[int, tuple[int, ...]]:
        """Return the sorted gels of those stacks (m, w) that were read, by row."""
        ordered, width = np.sort(stacks, axis=1), stacks.shape[1]
        found: dict[int, tuple[int, ...]] = {}
        for gels in self.known.read:
            if len(gels) <= width:  # none, being below all gels, stands before them
                same = (ordered == (NONE,) * (width - len(gels)) + gels).all(axis=1)
                found |= dict.fromkeys(np.flatnonzero(same).tolist(), gels)
        return dict(sorted(found.items()))

    def _rest(self, stacks: Indices, passed: Array) -> Array:
        """Return the rest of the cost (m,) [step] of stacks (m, w), apart from risk: light and layers.

        `passed` (m,) is the share of the light that they pass.
        """
        return cost_of(np.zeros(len(stacks)), passed, self.bare, (stacks != NONE).sum(axis=1))
