"""What readings behind gels tell of a light: the unknowns, fitted to all its readings.

Light behind a stack lands at the prediction plus a shift by the unknowns (`unknowns`). All is linear and
normal, so each reading updates their mean and covariance in closed form (Kalman, R. E. 1960, J. Basic Eng.
82(1); from memory). The bare reading is one of the readings. Most of a meter's error is the same in all of
them, so no reading can reduce it: it is added to the doubt at the end. Only the small part that is new at
each reading takes part in the fit.

If the readings behind gels cannot come from the lamp that was read bare, the lamp has drifted. Then the bare
reading says only roughly what its light is, and the readings behind gels say exactly.

A reading that agrees with the prediction moves nothing and narrows the doubt. The order of the readings makes
no difference.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from ...colour.observer.chromaticity import PER_STEP
from ...colour.observer.data import Array
from ...model import Accuracy, Refused, Source
from ...model.basis.once_each import OnceEach
from ..cost.judge import Read
from ..cost.loss import expected_loss
from ..readings.chromaticity import WhitePoint, white_at
from ..readings.dim_curve import DOUBT_ALONE, InUse
from ..readings.dim_levels import in_use
from ..stacks.enumerate import NONE, Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource, behind_each, predict_stacks, prepare
from ..stacks.uncertainty import level, meter, meter_within, stronger
from .taken import Taken, taken_behind
from .unknowns import carried, carried_doubt, unknowns

_REPEATS = Accuracy(meter_cct_percent=0.5, meter_duv=0.0003)
"""How far two readings of one light may differ. Any larger error of a meter is the same in both. From
memory."""
_LAST_DIGIT = 0.1
"""The error of rounding to the last digit of a reading. [step]"""
_ELSEWHERE = 1.0
"""How far a reading at another dim level may be from one at this level. [step] Our judgement."""
_DRIFT, _SURPRISE = 30.0, 6.0
"""How far a lamp that drifted may be from its bare reading [step], and by how many of its standard deviations
χ² has to exceed its mean before a lamp counts as drifted. Our judgement."""


@dataclass(frozen=True, eq=False)
class Posterior:
    """The unknowns after all readings: their `mean` (q,) and `root` (q, q), a root of their covariance.

    `repeats` (2, 2) [step²] is the covariance of that part of a meter's error that is new at each reading.
    `taken` are the readings behind gels that it rests on. `loose` is true where the lamp has drifted from its
    bare reading, or nobody read it bare at this level; then `taken` alone say what its light is.
    """

    bare: PreparedSource
    gel_arrays: GelArrays
    accuracy: Accuracy
    taken: tuple[Taken, ...]
    loose: bool
    mean: Array
    root: Array
    repeats: Array

    def landed(self, stacks: Indices) -> tuple[Outcomes, Array]:
        """Return where stacks (m, w) land, given all readings, and its covariance (m, 2, 2) [step²]."""
        bare = self.bare
        [behind] = behind_each([bare], self.gel_arrays, [stacks])
        sheets = stronger(bare, self.gel_arrays, stacks, behind.filters, self.accuracy)
        moves = unknowns(bare, self.gel_arrays, stacks, behind, sheets, drifted=self.loose)
        across = moves.transpose(0, 2, 1)
        spread = across @ self.root
        covariance = spread @ spread.transpose(0, 2, 1) + self.alike
        covariance += carried_doubt(sheets, stacks, self._carried)
        plain = np.einsum("mkc,k->mc", behind.light.uv, bare.ensemble.weights)
        uv = plain + across @ self.mean / PER_STEP
        steps = expected_loss(self.offsets(uv), np.ones(1), covariance, np.inf)
        return Outcomes(uv, steps, behind.light.passed @ bare.ensemble.weights), covariance

    def offsets(self, uv: Array) -> Array:
        """Return chromaticities (m, 2) as offsets from the target along u′ and v′, (m, 1, 2) [step]."""
        return np.asarray(((uv - self.bare.wanted.uv) * PER_STEP)[:, None, :])

    @cached_property
    def read(self) -> dict[tuple[int, ...], Read]:
        """What was read behind each stack, and bare, at the level in use, by the sorted numbers of gels."""
        found: dict[tuple[int, ...], list[Taken]] = {}
        if not (self.bare.doubt or self.loose):
            found[()] = [Taken((), self.bare.white.uv, self.bare.source.reading)]
        for one in self.taken:
            if one.level is None:
                found.setdefault(one.gels, []).append(one)
        return {gels: self._mean(taken) for gels, taken in found.items()}

    def _mean(self, taken: list[Taken]) -> Read:
        lux = [one.reading.lux for one in taken if one.reading.lux]
        uv = np.mean([one.uv for one in taken], axis=0)
        away = float(np.hypot(*((uv - self.bare.wanted.uv) * PER_STEP)))
        return Read(uv, away, len(taken), float(np.mean(lux)) if lux else None)

    @cached_property
    def _carried(self) -> Array:
        return carried(self.mean, {gel for one in self.taken for gel in one.gels}, self.gel_arrays)

    @cached_property
    def alike(self) -> Array:
        """The covariance (2, 2) [step²] of that part of a meter's error that all its readings share."""
        return meter(self.bare.white, self.accuracy) - self.repeats


def repeats(white: WhitePoint, accuracy: Accuracy) -> Array:
    """Return the covariance (2, 2) [step²] of that part of a meter's error that is new at each reading."""
    percent = min(accuracy.meter_cct_percent, _REPEATS.meter_cct_percent)
    return meter_within(white, percent, min(accuracy.meter_duv, _REPEATS.meter_duv))


def posteriors(
    bares: Sequence[PreparedSource], gel_arrays: GelArrays, accuracy: Accuracy
) -> list[Posterior | None]:
    """Fit the unknowns of each source, as `posterior` does; None where nobody read it behind gels."""
    behind = _were_read_behind([bare.source for bare in bares])
    each = zip(bares, behind, strict=True)
    return [posterior(bare, gel_arrays, accuracy) if was else None for bare, was in each]


def _were_read_behind(sources: Sequence[Source]) -> list[bool]:
    """Say of each source whether it may have been read behind gels."""
    unworked = [source for source in sources if source.work is None and source.readings]
    known = iter(_READ_BEHIND.of_all(unworked) if unworked else ())
    return [source.work is not None or (bool(source.readings) and next(known)) for source in sources]


_READ_BEHIND = OnceEach[Source, bool](
    lambda sources: [any(reading.gels for reading in source.readings) for source in sources]
)
"""Each page of a set asks it of all readings."""


@lru_cache(maxsize=256)
def posterior(bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy) -> Posterior | None:
    """Fit the unknowns of a source to its readings; None where no reading behind gels counts."""
    taken = taken_behind(bare.source, gel_arrays, accuracy, bare.left_out)
    seen = [(one, off) for one in taken if (off := _off(one, bare, gel_arrays)) is not None]
    if not seen:
        return None
    width = max(len(bare.keep), *(len(one.gels) for one, _ in seen))
    stacks = np.full((len(seen) + 1, width), NONE, dtype=np.intp)
    for row, (one, _) in enumerate(seen, start=1):
        stacks[row, : len(one.gels)] = one.gels
    [behind] = behind_each([bare], gel_arrays, [stacks])
    sheets = stronger(bare, gel_arrays, stacks, behind.filters, accuracy)
    moves = unknowns(bare, gel_arrays, stacks, behind, sheets)
    off = np.stack([np.zeros(2), *(off for _, off in seen)])
    new = repeats(bare.white, accuracy)
    noise = new + _LAST_DIGIT**2 * np.eye(2)
    noises = np.stack([noise + level(bare), *(noise + _elsewhere(one) for one, _ in seen)])
    counted = tuple(one for one, _ in seen)
    if loose := unread_so(bare) or _strange(moves, off, noises):
        moves = unknowns(bare, gel_arrays, stacks, behind, sheets, drifted=True)
        noises[0] += _DRIFT**2 * np.eye(2)
    return Posterior(bare, gel_arrays, accuracy, counted, loose, *_fitted(moves, off, noises), new)


def white_fitted(bare: PreparedSource, gel_arrays: GelArrays, accuracy: Accuracy) -> WhitePoint:
    """Return the white that a source has bare by all its readings, as its stacks are predicted from it.

    Where a bare reading says what it is, it is that. A source with fixed gels is never bare: as read.
    """
    fit = None if bare.keep else posterior(bare, gel_arrays, accuracy)
    if fit is None or () in fit.read:
        return bare.white
    outcomes, _ = fit.landed(np.full((1, 1), NONE, dtype=np.intp))
    return white_at(outcomes.uv[0]) or bare.white


def unread_so(bare: PreparedSource) -> bool:
    """Say whether nobody read the source bare near the level in use, so its light there is a guess."""
    return bare.doubt >= DOUBT_ALONE


def _fitted(moves: Array, off: Array, noises: Array) -> tuple[Array, Array]:
    """Return the mean (q,) and a root (q, q) of the covariance of the unknowns, after r readings.

    `moves` (r, q, 2) [step] is how far each unknown moves each reading, `off` (r, 2) [step] is each reading
    less its prediction, and `noises` (r, 2, 2) [step²] is each reading's own covariance.
    """
    sure = np.linalg.inv(noises)
    # Each unknown starts with a precision of 1, and each reading adds to it.
    precision = np.eye(moves.shape[1]) + np.einsum("rqc,rcd,rsd->qs", moves, sure, moves)
    covariance = np.linalg.inv(precision)
    mean = covariance @ np.einsum("rqc,rcd,rd->q", moves, sure, off)
    return mean, np.asarray(np.linalg.cholesky((covariance + covariance.T) / 2.0))


def _strange(moves: Array, off: Array, noises: Array) -> bool:
    """Say whether readings lie so far from their predictions that the lamp must have changed meanwhile.

    That is so where χ² of all of them together exceeds what chance gives less than once in a thousand times.
    """
    size = off.size
    spread = np.einsum("rqc,sqd->rcsd", moves, moves).reshape(size, size)
    for row, noise in enumerate(noises):
        spread[2 * row : 2 * row + 2, 2 * row : 2 * row + 2] += noise
    square = float(off.ravel() @ np.linalg.solve(spread, off.ravel()))
    freedom = size - 2  # the bare reading comes first: it is its own prediction
    return square > freedom + _SURPRISE * float(np.sqrt(2.0 * freedom))


def _elsewhere(one: Taken) -> Array:
    return (one.level is not None) * _ELSEWHERE**2 * np.eye(2)


def _off(one: Taken, bare: PreparedSource, gel_arrays: GelArrays) -> Array | None:
    """Return a reading less its prediction, (2,) [step]; None where the reading does not count.

    One that may date from before the lamp changed counts if it fits the lamp as it is now better than before.
    """
    stack = np.array([one.gels], dtype=np.intp)
    off = _apart(one, _at_level(one, bare, gel_arrays), gel_arrays, stack)
    if off is None or one.older is None:
        return off
    before = _apart(one, _ready(bare, InUse(one.older), gel_arrays), gel_arrays, stack)
    return off if before is None or np.hypot(*off) <= np.hypot(*before) else None


def _apart(one: Taken, there: PreparedSource | None, gel_arrays: GelArrays, stack: Indices) -> Array | None:
    if there is None:
        return None
    [outcomes] = predict_stacks([there], gel_arrays, stack)
    off = (one.uv - outcomes.uv[0]) * PER_STEP
    return off if np.isfinite(off).all() else None


def _at_level(one: Taken, bare: PreparedSource, gel_arrays: GelArrays) -> PreparedSource | None:
    """Return the source at the level of a reading; None where its bare light at that level is not known."""
    if one.level is None:
        return bare
    source = bare.source.model_copy(update={"level": one.level})
    try:
        return _ready(bare, in_use(source), gel_arrays)
    except Refused:
        return None


def _ready(bare: PreparedSource, use: InUse, gel_arrays: GelArrays) -> PreparedSource | None:
    try:
        return prepare(bare.source, gel_arrays, bare.wanted, use)
    except Refused:
        return None
