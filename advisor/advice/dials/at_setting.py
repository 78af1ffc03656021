"""A head with its dials at a setting: the light that it then gives, and what stacks make of that."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from ...colour.observer.cct import moves_at, uv_of_cct_duv
from ...colour.observer.chromaticity import PER_STEP
from ...colour.observer.data import Array
from ...colour.observer.loci import MIRED_K
from ...colour.spectra.sources import Ensemble, Unbendable, ensemble, ensembles, measured
from ...model import Limits, Setting
from ..cost.judge import Judge, landings_of, risks_of
from ..cost.loss import Scattered, expected_losses
from ..readings.chromaticity import WhitePoint
from ..stacks.enumerate import Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource
from ..stacks.uncertainty import Certainty
from .calibration import DialFit, Mapped
from .surfaces import possible


@dataclass(frozen=True, eq=False)
class HeadAtSetting:
    """A head at a `setting` of its dials; None where it stands as it was read, and nobody noted them.

    `bare` is the head as it then is. `mapping` (2, 2) [step²] is the covariance of the mapping's error.
    `gain` [stop] is how much brighter it is than in the reading that counts.
    """

    setting: Setting | None
    bare: PreparedSource
    mapping: Array
    gain: float = 0.0

    def judge(self, gel_arrays: GelArrays, limits: Limits) -> Judge:
        """Return the judge of stacks on it. The mapping's error passes through the stacks unchanged."""
        return Judge(self.bare, gel_arrays, limits, self.mapping)

    def outcomes(self, judge: Judge, stacks: Indices) -> tuple[Outcomes, Certainty]:
        """Predict stacks (m, w), the mapping's error in their expected miss, and how certain that is."""
        [(outcomes, sure)] = _outcomes([self], [judge], [stacks])
        return outcomes, sure


class Judged(NamedTuple):
    """Stacks (m, w) at one setting: their outcomes, how certain these are, and their risk (m,) [step]."""

    outcomes: Outcomes
    sure: Certainty
    risk: Array


def moved(judge: Judge, stand: HeadAtSetting) -> Judge:
    """Return who judges stacks on the head of `judge` at another setting, by the same limits."""
    return Judge(stand.bare, judge.gel_arrays, judge.limits, stand.mapping, judge.open_gels)


def judged_at(stands: Sequence[HeadAtSetting], judge: Judge, stacks: Sequence[Indices]) -> list[Judged]:
    """Predict and judge stacks (m, w) at several settings of the head of `judge`, at each its own."""
    if not stands:
        return []
    judges = [moved(judge, stand) for stand in stands]
    found = _outcomes(stands, judges, stacks)
    risks = risks_of(judges, stacks, [sure for _, sure in found])
    return [Judged(outcomes, sure, risk) for (outcomes, sure), risk in zip(found, risks, strict=True)]


def _outcomes(
    stands: Sequence[HeadAtSetting], judges: Sequence[Judge], stacks: Sequence[Indices]
) -> list[tuple[Outcomes, Certainty]]:
    there = landings_of(judges, stacks)
    steps = expected_losses(
        [
            Scattered(one.sure.offsets, at.bare.ensemble.weights, _spread(at.mapping, len(own)), np.inf)
            for at, one, own in zip(stands, there, stacks, strict=True)
        ]
    )
    each = zip(stands, there, steps, strict=True)
    return [
        (Outcomes(one.outcomes.uv, off, one.outcomes.passed * 2.0**at.gain), one.sure)
        for at, one, off in each
    ]


def _spread(mapping: Array, count: int) -> Array:
    return np.broadcast_to(mapping, (count, 2, 2))


def as_read(bare: PreparedSource) -> HeadAtSetting:
    """Return a head as it stood when it was read."""
    return HeadAtSetting(bare.source.reading.dial, bare, np.zeros((2, 2)))


def stand_at(bare: PreparedSource, fit: DialFit, setting: Setting) -> HeadAtSetting:
    """Return a head at a setting. Raises Unbendable where its kind cannot give the light predicted."""
    if setting == fit.current:
        return as_read(bare)
    mapped = fit.of(setting)
    mired, duv = float(mapped.mired), float(mapped.duv)
    if not possible(mapped.mired, mapped.duv):
        raise Unbendable("no real light near white")
    uv = uv_of_cct_duv(np.array(MIRED_K / mired), np.array(duv))
    there = replace(bare, white=WhitePoint(uv, MIRED_K / mired, duv), ensemble=spectra_at(bare, uv))
    gain = float(fit.gain(np.array(MIRED_K / setting.cct)))
    [covariance] = _covariances(Mapped(*(values[None] for values in mapped)))
    return HeadAtSetting(setting, there, covariance, gain)


def stands_at(bare: PreparedSource, fit: DialFit, settings: Sequence[Setting]) -> list[HeadAtSetting | None]:
    """Return a head at each of n settings, as `stand_at` does; None where its kind cannot give the light."""
    dial = np.array([MIRED_K / setting.cct for setting in settings])
    mapped = fit.at(dial, np.array([setting.green for setting in settings]))
    able = np.flatnonzero(possible(mapped.mired, mapped.duv))
    there = Mapped(*(values[able] for values in mapped))
    uv = uv_of_cct_duv(MIRED_K / there.mired, there.duv)
    covariances, gains = _covariances(there), fit.gain(dial[able]).tolist()
    found: list[HeadAtSetting | None] = [
        as_read(bare) if setting == fit.current else None for setting in settings
    ]
    for k, (index, lit) in enumerate(zip(able.tolist(), spectra_at_each(bare, uv), strict=True)):
        if lit is not None and found[index] is None:
            white = WhitePoint(uv[k], MIRED_K / float(there.mired[k]), float(there.duv[k]))
            bent = replace(bare, white=white, ensemble=lit)
            found[index] = HeadAtSetting(settings[index], bent, covariances[k], gains[k])
    return found


def spectra_at(bare: PreparedSource, uv: Array) -> Ensemble:
    """Return the spectra that a head may have where it gives light of `uv` (2,). Raises Unbendable.

    A measured spectrum is bent to `uv`, and then no longer counts as measured.
    """
    if bare.ensemble.measured:
        return measured(bare.ensemble.spectra[0], uv)._replace(measured=False)
    return ensemble(bare.source.kind, uv)


def spectra_at_each(bare: PreparedSource, uv: Array) -> list[Ensemble | None]:
    """Return `spectra_at` for n chromaticities (n, 2); None for each that the kind cannot give."""
    if not bare.ensemble.measured:
        return ensembles(bare.source.kind, uv)
    found: list[Ensemble | None] = [None] * len(uv)
    for k, one in enumerate(uv):
        with suppress(Unbendable):
            found[k] = spectra_at(bare, one)
    return found


def _covariances(mapped: Mapped) -> Array:
    """Return the covariances (n, 2, 2) [step²] of a mapping's error at n settings."""
    warmer, greener = moves_at(MIRED_K / mapped.mired, mapped.duv)
    along = warmer * np.sqrt(mapped.mired_variance)[:, None]
    across = greener * np.sqrt(mapped.duv_variance)[:, None]
    spread = np.stack([along, across], axis=1) * PER_STEP
    return np.asarray(spread.transpose(0, 2, 1) @ spread)
