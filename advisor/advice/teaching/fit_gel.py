"""Fit a gel's shift to readings. The doubts of the row, the lamps and the meter all count.

The fit starts from the row's shift and how far that may be off (the prior). A pair is two readings of one
lamp, bare and behind the sheet. Each pair adds what it can tell. The error of a pair is the sum of

- the lamp: how far other spectra of its kind, lamps outside the ensemble and other dyes under the label would
  move the result (as in `stacks.uncertainty`). The errors of two lamps of one kind are half alike. The error
  of one lamp stays the same however often it is read;
- the meter: half of its error is new at every reading. The rest is the same at both readings of a pair, and
  most of it cancels: what is left is its per cent of the shift;
- the dim level, where it lies between levels that were read, and the last digit that a meter prints.

Mired and cc are then the best linear estimate (Gauss–Markov). The prediction is not linear, so the estimate
is repeated in Gauss–Newton rounds. The covariances stay those at the row's own label, which no pair changes.
So the order of the pairs does not matter, and no pair makes the fit less sure. What a lamp can teach follows
from its ensemble, not from a list: a colour-mixing LED, whose kind does not tell its green, teaches little
about green, and sodium light next to nothing.

References
----------
Linear estimation with a prior and correlated errors: any textbook of least squares (Gauss, Markov, Aitken).
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import moves_at
from ...colour.observer.chromaticity import PER_STEP, steps_apart, through
from ...colour.observer.data import Array
from ...colour.observer.loci import CC_PER_DUV, MIRED_K
from ...colour.spectra import gels
from ...model import Gel
from ..stacks.gel_arrays import gel_arrays_of
from ..stacks.uncertainty import ALONG_LINE, level, meter, strangeness
from .observed import ACROSS, UNSAID, SheetObservation
from .possible_rows import reference_of

LEAST = 2.0
"""The least doubt of a fitted row: that of a measured curve. [% of its shift] From memory."""
_FAINT = 25.0
"""A label's per cent is taken of this shift at least: labels are rounded, and film is not quite clear.
[MK⁻¹] (our own judgement, no source)"""
_OWN = 0.5
"""The part of a meter's tolerance that is new at every reading (our own judgement, no source)."""
_PRINTED = 0.05
"""The error of rounding to a meter's last digit, and the least difference of two readings. [step]"""
_ALIKE, _SAME = 0.5, 0.45
"""The correlation of the errors of two lamps of one kind, and what is added to it where both read the same
(our own judgement, no source). Together they stay below 1: otherwise the fit would make much of tiny
differences between two readings of one lamp."""
_NEAR = 10.0
"""Two lamps of one kind count as the same if they read about this near each other. [step]"""
_AHEAD = np.array([1.0, 0.3])
"""The differences over which the slope of the prediction is taken. [MK⁻¹, CC]"""
_ROUNDS = 25
_FITTED = 1e-4
"""The rounds end when one changes the shift by less than this. [step on the reference]"""
CHANCE_99 = 9.21
"""χ² of two degrees of freedom that one case in a hundred exceeds (any statistical table)."""


class Fit(NamedTuple):
    """A fitted shift [MK⁻¹, CC] and how sure it is.

    `doubt` [MK⁻¹, CC] is the ± that holds nine cases in ten, for mired and for cc. `percent` is the same for
    the whole shift, and `alone_percent` what it would be from the readings alone. `left` [step] is how far
    each pair is from what the fitted row predicts. `unlikely` is how far it was from what the old row
    predicted, as χ² of two degrees of freedom, given the doubts of both. `contradicts` is true where all
    readings together differ from the row by more than these doubts allow.
    """

    mired: float
    cc: float
    doubt: tuple[float, float]
    percent: float
    alone_percent: float
    left: tuple[float, ...]
    unlikely: tuple[float, ...]
    contradicts: bool


def fit(gel: Gel, pairs: Sequence[SheetObservation], *, afresh: bool = False) -> Fit:
    """Fit a gel's shift to one or several pairs of readings.

    With `afresh`, the row counts as no surer than one that does not say how sure it is (UNSAID). Raises
    gels.Impossible where no gel can have the row's shift.
    """
    percent = UNSAID if gel.off_percent is None else gel.off_percent
    if afresh:
        percent = max(percent, UNSAID)
    label = np.array([gel.mired, gel.cc])
    scale = steps_of(gel)
    prior = _prior(label * scale, percent, scale)
    now = _predict(gel, label, pairs)
    if now is None:
        raise gels.Impossible(0, f"no gel makes the shift of {gel.name}")
    error = _doubts(gel, now, pairs)
    slope = now.slope / scale
    information = np.asarray(slope.T @ np.linalg.solve(error, slope), dtype=np.float64)
    sure = _inverse(np.linalg.inv(prior) + information)
    found = _rounds(gel, pairs, label, scale, prior, error, now)
    after = _predict(gel, found, pairs) or now
    wide = float(np.trace(prior))
    stated = float(np.clip(percent * np.sqrt(np.trace(sure) / wide), LEAST, max(percent, LEAST)))
    alone = percent * np.sqrt(np.trace(_inverse(information)) / wide)
    score = slope.T @ np.linalg.solve(error, now.rest)
    against = information @ prior @ information + information
    return Fit(
        mired=float(found[0]),
        cc=float(found[1]),
        doubt=tuple(ALONG_LINE * np.sqrt(np.diag(sure)) / scale),
        percent=stated,
        alone_percent=float(alone),
        left=tuple(_lengths(after.rest)),
        unlikely=tuple(_unlikely(now.rest, slope @ prior @ slope.T + error)),
        contradicts=bool(score @ np.linalg.pinv(against) @ score > CHANCE_99),
    )


class _Predicted(NamedTuple):
    """The prediction of n pairs behind one gel.

    `rest` (2n,) [step] is the reading less the prediction. `slope` (2n, 2) is that of the prediction [step
    per MK⁻¹, step per CC]. `sheet` (81,) is the gel's transmittance.
    """

    rest: Array
    slope: Array
    sheet: Array


def _predict(gel: Gel, label: Array, pairs: Sequence[SheetObservation]) -> _Predicted | None:
    """Predict all pairs behind a gel of this label [MK⁻¹, CC]; None where no gel can have it."""
    try:
        sheets = _sheets(gel, label + np.array([[0, 0], [_AHEAD[0], 0], [0, _AHEAD[1]]]))
    except gels.Impossible:
        return None
    at = np.array([through(p.mean, sheets).uv[:, 0] for p in pairs])
    seen = np.array([p.behind.uv for p in pairs])
    rest = (seen - at[:, 0]) * PER_STEP
    slope = np.stack([(at[:, 1] - at[:, 0]) / _AHEAD[0], (at[:, 2] - at[:, 0]) / _AHEAD[1]], axis=-1)
    return _Predicted(rest.ravel(), (slope * PER_STEP[None, :, None]).reshape(-1, 2), sheets[0])


def _sheets(gel: Gel, labels: Array) -> Array:
    """Return the transmittances (n, 81) of a row's gel if it had other labels (n, 2). Raises Impossible."""
    stops = np.full(len(labels), np.nan if gel.stops is None else gel.stops)
    reference = np.full(len(labels), reference_of(gel))
    return gels.transmittances(labels[:, 0], labels[:, 1], stops, reference)


def _rounds(
    gel: Gel,
    pairs: Sequence[SheetObservation],
    label: Array,
    scale: Array,
    prior: Array,
    error: Array,
    now: _Predicted,
) -> Array:
    """Find the label that the row and the pairs together make likeliest. [MK⁻¹, CC]"""
    at, here = label.copy(), now
    for _ in range(_ROUNDS):
        slope = here.slope / scale
        way = (at - label) * scale
        gain = prior @ slope.T @ np.linalg.inv(slope @ prior @ slope.T + error)
        to = label + gain @ (here.rest + slope @ way) / scale
        ahead = _predict(gel, to, pairs)
        for _ in range(_ROUNDS):
            if ahead is not None:
                break
            to = (to + at) / 2.0
            ahead = _predict(gel, to, pairs)
        if ahead is None:
            break
        moved = np.abs((to - at) * scale).max()
        at, here = to, ahead
        if moved < _FITTED:
            break
    return at


def steps_of(gel: Gel) -> Array:
    """Return the size of one MK⁻¹ and of one CC on a row's reference, (2,) [step]."""
    cct = np.array(reference_of(gel))
    warmer, greener = moves_at(cct, np.array(0.0))
    return np.array([np.hypot(*(warmer * PER_STEP)), np.hypot(*(greener * PER_STEP)) / CC_PER_DUV])


def _prior(shift: Array, percent: float, scale: Array) -> Array:
    """Return the covariance (2, 2) [step²] of a row's shift (2,) [step] that may be off by some per cent."""
    along = np.outer(shift, shift)
    length = float(np.trace(along))
    across = length * np.eye(2) - along
    faint = (_FAINT * scale[0]) ** 2 * np.eye(2)
    return np.asarray((percent / 100.0 / ALONG_LINE) ** 2 * (along + ACROSS**2 * (across + faint)))


def _doubts(gel: Gel, now: _Predicted, pairs: Sequence[SheetObservation]) -> Array:
    """Return the covariance (2n, 2n) [step²] of the errors of all pairs."""
    count = len(pairs)
    roots = np.zeros((count, 2, 2))
    noise = np.zeros((2 * count, 2 * count))
    steady = np.zeros(2 * count)
    for i, pair in enumerate(pairs):
        here = slice(2 * i, 2 * i + 2)
        roots[i] = _root(_lamp(gel, now.sheet, pair))
        own = _OWN**2 * (meter(pair.bare.white, pair.accuracy) + meter(pair.behind, pair.accuracy))
        noise[here, here] = own + level(pair.bare) + _PRINTED**2 * np.eye(2)
        steady[here] = _steady(pair)
    for name in {pair.beside for pair in pairs if pair.beside}:  # one sheet, one error
        moves = [np.zeros((2, 2)) if p.beside != name or p.unsure is None else p.unsure for p in pairs]
        noise += np.concatenate(moves) @ np.concatenate(moves).T
    alike = _alike(pairs)
    lamps = np.einsum("iab,ij,jcb->iajc", roots, alike, roots).reshape(2 * count, 2 * count)
    return np.asarray(lamps + noise + np.outer(steady, steady))


def _lamp(gel: Gel, sheet: Array, pair: SheetObservation) -> Array:
    """Return the covariance (2, 2) [step²] of a pair's error from its lamp, whose spectrum is not known."""
    lit = pair.bare.ensemble
    uv = through(pair.spectra, sheet[None, :]).uv[0]
    off = (uv - through(pair.mean, sheet[None, :]).uv[0, 0]) * PER_STEP
    spread = np.einsum("k,ka,kb->ab", lit.weights, off, off)
    [[strange]] = strangeness([pair.bare], [np.einsum("k,kc->c", lit.weights, uv)[None, :]])
    return np.asarray(spread + strange * np.eye(2) / 2.0 + _dyes(gel, pair))


def _dyes(gel: Gel, pair: SheetObservation) -> Array:
    """Return the covariance (2, 2) [step²] of a pair's error from dyes of other shapes under the label."""
    gel_arrays = gel_arrays_of((gel.model_copy(update={"transmittance": None, "stops": None}),))
    own, *others = (
        through(pair.mean, t).uv[0, 0] for t in (gel_arrays.transmittances, *gel_arrays.other_dyes)
    )
    apart = (np.array(others) - own) * PER_STEP
    return np.asarray(np.einsum("ka,kb->ab", apart, apart) / len(others))


def _steady(pair: SheetObservation) -> Array:
    """Return the error of the shift, (2,) [step], from what the meter is off at both readings alike.

    If both CCTs are off by one per cent, both mireds are, and so is the shift between them. A shared error of
    Duv cancels.
    """
    warmer, _ = moves_at(np.array(pair.behind.cct), np.array(pair.behind.duv))
    percent = np.sqrt(1.0 - _OWN**2) * pair.accuracy.meter_cct_percent
    off = (pair.behind.mired - MIRED_K / pair.bare.white.cct) * percent / 100.0
    return np.asarray(warmer * PER_STEP * off / ALONG_LINE)


def _alike(pairs: Sequence[SheetObservation]) -> Array:
    """Return the correlation (n, n) of the lamps' errors: 1 of each with itself, 0 between two kinds."""
    uv = np.array([p.bare.white.uv for p in pairs])
    apart = steps_apart(uv[:, None], uv[None, :]) / _NEAR
    kinds = np.array([p.bare.source.kind if not p.bare.ensemble.measured else f"measured {i}"
                      for i, p in enumerate(pairs)])  # fmt: skip
    alike = (kinds[:, None] == kinds) * (_ALIKE + _SAME * np.exp(-0.5 * apart**2))
    np.fill_diagonal(alike, 1.0)
    return np.asarray(alike)


def _root(covariance: Array) -> Array:
    """Return the symmetric root of a covariance (2, 2)."""
    values, axes = np.linalg.eigh(covariance)
    return np.asarray((axes * np.sqrt(np.maximum(values, 0.0))) @ axes.T)


def _inverse(information: Array) -> Array:
    """Return the covariance (2, 2) that belongs to `information`, very wide where there is none."""
    return np.asarray(np.linalg.inv(information + 1e-9 * np.eye(2)), dtype=np.float64)


def _unlikely(rest: Array, covariance: Array) -> list[float]:
    """Return χ² of each pair: its part of `rest` (2n,) by its own block of `covariance` (2n, 2n)."""
    own = [slice(i, i + 2) for i in range(0, len(rest), 2)]
    return [float(rest[k] @ np.linalg.solve(covariance[k, k], rest[k])) for k in own]


def _lengths(rest: Array) -> list[float]:
    return [float(v) for v in np.hypot(*rest.reshape(-1, 2).T)]
