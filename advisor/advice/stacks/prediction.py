"""Prepare sources, and predict what stacks do to them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import (
    PER_STEP,
    STEP_DELTA_UV,
    PredictedLight,
    lengths,
    through,
    through_each,
)
from ...colour.observer.data import Array
from ...colour.spectra.sources import Ensemble
from ...model import Reading, Refused, Source
from ...model.basis.quantities import tidy
from ...model.sets.phrases import signed
from ..readings.chromaticity import WhitePoint, measure_each
from ..readings.dim_curve import InUse
from ..readings.dim_levels import as_used, in_use
from ..readings.shape import ensemble_each
from ..readings.target import aimed_each
from .bare_behind_gels import seen_there, worked_out
from .enumerate import Indices
from .gel_arrays import GelArrays

_CHUNK = 4096
"""Stacks predicted at a time: their transmittances stay within a few megabytes."""


@dataclass(frozen=True, eq=False)
class PreparedSource:
    """A source as the prediction needs it.

    `source` is as it is used, `white` what it reads, `wanted` where it is to go, and `ensemble` the spectra
    that it may have. `keep` is what hangs on it anyway, as rows of the gel table. `doubt` [Δu′v′] is how far
    off its white may be, on top of the meter's error. `over` [stop] is how far the bare source is above its
    limit over the key: negative below the limit, None if it has no limit or one that cannot be kept. With
    `exact` its light is to be just that, neither more nor less.
    `left_out` are readings behind gels that count for nothing until somebody says which gel hung.
    """

    source: Source
    white: WhitePoint
    wanted: WhitePoint
    ensemble: Ensemble
    keep: tuple[int, ...]
    doubt: float = 0.0
    over: float | None = None
    exact: bool = False
    left_out: tuple[Reading, ...] = ()

    @cached_property
    def least_stops(self) -> float:
        """The light that it has to lose to be within its limit over the key. [stop]"""
        return max(self.over or 0.0, 0.0)

    @cached_property
    def just(self) -> bool:
        """Whether its light is to be just what is wanted of it, neither more nor less."""
        return self.exact and self.over is not None

    @cached_property
    def due_stops(self) -> float:
        """The loss of light that counts for nothing: what has to be lost, at least or just that. [stop]"""
        return self.least_stops if not self.exact or self.over is None else self.over

    @cached_property
    def mean(self) -> Array:
        """The mean spectrum of the ensemble, (1, 81)."""
        return np.asarray(self.ensemble.weights @ self.ensemble.spectra)[None, :]


def light_due(
    bares: Sequence[PreparedSource], sizes: Sequence[int]
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Return `least_stops` [stop], `due_stops` [stop] and `just` of sources, each so many times, (m,)."""
    return (
        np.repeat([bare.least_stops for bare in bares], sizes),
        np.repeat([bare.due_stops for bare in bares], sizes),
        np.repeat([bare.just for bare in bares], sizes),
    )


@dataclass(frozen=True, eq=False)
class Outcomes:
    """What m stacks do to one source.

    `uv` (m, 2) and `passed` (m,) are the ensemble's means; `steps` (m,) is the expected miss, the mean
    over the ensemble of each member's distance from the target.
    """

    uv: Array
    steps: Array
    passed: Array

    def at(self, indices: Indices) -> "Outcomes":
        """Return the outcomes of some of the stacks."""
        return Outcomes(self.uv[indices], self.steps[indices], self.passed[indices])


def outcomes_at(each: Sequence[Outcomes], indices: Sequence[Indices]) -> list[Outcomes]:
    """Return the outcomes of some of the stacks of each source, its own `indices`."""
    return [outcomes.at(own) for outcomes, own in zip(each, indices, strict=True)]


def prepare(
    source: Source, gel_arrays: GelArrays, target: WhitePoint, use: InUse | None = None
) -> PreparedSource:
    """Return a source as the prediction needs it, as `prepare_each` does. Raises Refused where it cannot."""
    [found] = prepare_each([(source, use)], gel_arrays, target)
    if isinstance(found, Refused):
        raise found
    return found


def prepare_each(
    asked: Sequence[tuple[Source, InUse | None]], gel_arrays: GelArrays, target: WhitePoint
) -> list[PreparedSource | Refused]:
    """Return sources as the prediction needs them, wanted at `target` or where their aims say.

    Each comes with what it reads as it is used, if that is worked out already. Where it cannot be measured,
    bent or fitted with gels, why not is in its place, saying where in the source.
    """
    found = _measured_each(asked, gel_arrays, target)
    able = [one for one in found if not isinstance(one, Refused)]
    lit = iter(ensemble_each([(one.source, one.white) for one in able]))
    return [one if isinstance(one, Refused) else _lit(one, next(lit), gel_arrays) for one in found]


class _Measured(NamedTuple):
    """A source as it is used, before its spectra are known: the first fields of a PreparedSource."""

    source: Source
    white: WhitePoint
    wanted: WhitePoint
    keep: tuple[int, ...]
    doubt: float


def _measured_each(
    asked: Sequence[tuple[Source, InUse | None]], gel_arrays: GelArrays, target: WhitePoint
) -> list[_Measured | Refused]:
    uses = [use or _use(source, gel_arrays) for source, use in asked]
    whites = iter(measure_each([use.reading for use in uses if isinstance(use, InUse)]))
    wanted = aimed_each(target, [source.aim for source, _ in asked])
    each = zip(asked, uses, wanted, strict=True)
    return [
        use
        if isinstance(use, Refused)
        else _measured(use.source or as_used(source, use), use, next(whites), there, gel_arrays)
        for (source, _), use, there in each
    ]


def _use(source: Source, gel_arrays: GelArrays) -> InUse | Refused:
    try:
        if not source.reading.said:
            return worked_out(source, gel_arrays)
        return seen_there(source, in_use(source), gel_arrays)
    except Refused as no:
        return no


def _measured(
    source: Source,
    use: InUse,
    white: WhitePoint | Refused,
    wanted: WhitePoint | Refused,
    gel_arrays: GelArrays,
) -> _Measured | Refused:
    if isinstance(white, Refused):
        return white.under("reading")
    try:
        keep = tuple(gel_arrays.find(source.keep, "keep")) if source.keep else ()
        for where in ("only_gels", "hung"):
            if names := getattr(source, where):
                gel_arrays.find(names, where)
    except Refused as no:
        return no
    return wanted if isinstance(wanted, Refused) else _Measured(source, white, wanted, keep, use.doubt)


def _lit(one: _Measured, lit: Ensemble | None, gel_arrays: GelArrays) -> PreparedSource | Refused:
    source, white, wanted, keep, doubt = one
    if lit is None:
        return Refused.one(
            "kind",
            f"no {source.kind.words.lower()} source reads {tidy(white.cct, 0)} K, Duv {signed(white.duv, 4)}",
            "another kind, or unknown, or another reading",
        )
    try:
        if keep:
            lets_through(lit, gel_arrays, keep, "keep")
    except Refused as no:
        return no
    return PreparedSource(source, white, wanted, lit, keep, doubt)


def lets_through(lit: Ensemble, gel_arrays: GelArrays, indices: Sequence[int], where: str) -> None:
    """Raise Refused at `where` if gels, by index in the table, leave a spectrum of a source no light at all.

    No light has no colour to predict.
    """
    if not (through(lit.spectra, gel_arrays.product(indices)[None, :]).passed > 0.0).all():
        raise Refused.one(where, "these gels together let no light through", "gels that pass some of it")


def predict_stacks(bares: Sequence[PreparedSource], gel_arrays: GelArrays, stacks: Indices) -> list[Outcomes]:
    """Predict every stack (m, w) on every source. If a stack lets no light through, its miss is NaN."""
    spectra = [bare.ensemble.spectra for bare in bares]
    parts: list[list[Outcomes]] = [[] for _ in bares]
    for start in range(0, len(stacks), _CHUNK):
        filters = stacked(gel_arrays.transmittances, stacks[start : start + _CHUNK])
        lights = through_each(spectra, [filters] * len(bares))
        for part, outcomes in zip(parts, _outcomes(bares, lights), strict=True):
            part.append(outcomes)
    return [_joined(part) for part in parts]


class LightBehind(NamedTuple):
    """One source behind f stacks: their transmittances `filters` (f, 81), and its `light` (f, k).

    `redyed` (f, d, 2) is how far gels of d other dyes under the same labels move its mean light, along u′ and
    v′ [step]. All d are equally likely, so each is divided by √d: the sum of the squares is the variance.
    """

    filters: Array
    light: PredictedLight
    redyed: Array


def behind_each(
    bares: Sequence[PreparedSource], gel_arrays: GelArrays, stacks: Sequence[Indices]
) -> list[LightBehind]:
    """Predict each source behind its own stacks (f, w): all its spectra, and their mean behind other dyes."""
    filters = stacked_each(gel_arrays.transmittances, stacks)
    others = stacked_each(gel_arrays.other_dyes, stacks)
    both = [np.concatenate([own[None], other]) for own, other in zip(filters, others, strict=True)]
    spectra = [bare.ensemble.spectra for bare in bares] + [bare.mean for bare in bares]
    lights = through_each(spectra, [*filters, *both])
    rows = zip(filters, lights[: len(bares)], lights[len(bares) :], strict=True)
    return [LightBehind(own, light, _dye_moves(other.uv[..., 0, :])) for own, light, other in rows]


def _dye_moves(uv: Array) -> Array:
    """Return how far d other dyes move light, (f, d, 2) [step], from `uv` (d + 1, f, 2), their own first."""
    own, *others = uv
    return np.asarray((np.stack(others, axis=1) - own[:, None]) * PER_STEP / np.sqrt(len(others)))


def _outcomes(bares: Sequence[PreparedSource], lights: Sequence[PredictedLight]) -> list[Outcomes]:
    """Return what the light of each source comes to, over its ensemble."""
    away = lengths([light.uv - bare.wanted.uv for bare, light in zip(bares, lights, strict=True)])
    return [
        Outcomes(
            uv=np.einsum("mkc,k->mc", light.uv, bare.ensemble.weights),
            steps=off @ bare.ensemble.weights / STEP_DELTA_UV,
            passed=light.passed @ bare.ensemble.weights,
        )
        for bare, light, off in zip(bares, lights, away, strict=True)
    ]


def predicted_behind(bare: PreparedSource, gel_arrays: GelArrays, indices: Sequence[int]) -> Array:
    """Return (u, v), (2,), of a source behind gels, by index in the table, as its bare reading predicts."""
    [outcomes] = predict_stacks([bare], gel_arrays, np.array([indices], dtype=np.intp).reshape(1, -1))
    return np.asarray(outcomes.uv[0])


def stacked(sheets: Array, stacks: Indices) -> Array:
    """Return the transmittances (..., m, 81) of stacks (m, w) of `sheets` (..., n, 81)."""
    with_none = np.concatenate([sheets, np.ones((*sheets.shape[:-2], 1, sheets.shape[-1]))], axis=-2)  # NONE
    if not stacks.shape[1]:
        return np.ones((*sheets.shape[:-2], len(stacks), sheets.shape[-1]))
    first, *others = stacks.T
    product: Array = np.take(with_none, first, axis=-2)
    for layer in others:
        product *= np.take(with_none, layer, axis=-2)
    return product


def stacked_each(sheets: Array, stacks: Sequence[Indices]) -> list[Array]:
    """Return the transmittances of each source's own stacks, as `stacked` does."""
    return [stacked(sheets, own) for own in stacks]


def _joined(parts: list[Outcomes]) -> Outcomes:
    if len(parts) == 1:
        return parts[0]
    return Outcomes(
        *(np.concatenate([getattr(p, name) for p in parts]) for name in ("uv", "steps", "passed"))
    )
