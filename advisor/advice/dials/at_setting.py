"""A head with its dials at a setting: the light that it then gives, and what stacks make of that."""

from dataclasses import dataclass, replace

import numpy as np

from ...colour.cct import moves_at, uv_of_cct_duv
from ...colour.data import Array
from ...colour.loci import MEGA
from ...colour.sources import Ensemble, Unbendable, ensemble, measured
from ...model import Limits, Setting, StackAdvice
from ..cost.judge import Judge
from ..cost.loss import expected_loss
from ..ranking.report import stack_reports
from ..readings.chromaticity import Whiteness
from ..stacks.enumerate import Indices
from ..stacks.gel_arrays import Rack
from ..stacks.prediction import Bare, Outcomes, predict_stacks
from ..stacks.uncertainty import PER_STEP, Certainty
from .calibration import DialFit, Mapped
from .surfaces import possible


@dataclass(frozen=True, eq=False)
class Stand:
    """A head at a `setting`: None is as it was read, its dial not noted.

    `bare` is the head as it then is; `mapping` (2, 2) [step²] is the covariance of where the mapping may lead
    instead; `gain` is how much more light it gives than in the reading that counts. [stop]
    """

    setting: Setting | None
    bare: Bare
    mapping: Array
    gain: float = 0.0

    def judge(self, rack: Rack, limits: Limits) -> Judge:
        """Return who judges stacks on it; the mapping's error goes through them unchanged."""
        return Judge(self.bare, rack, limits, self.mapping)

    def outcomes(self, judge: Judge, stacks: Indices) -> tuple[Outcomes, Certainty]:
        """Predict stacks (m, w), the mapping's error in their expected miss, and how certain that is."""
        [there] = predict_stacks([self.bare], judge.rack, stacks)
        sure = judge.certainty(stacks)
        mapping = np.broadcast_to(self.mapping, (len(stacks), 2, 2))
        steps = expected_loss(sure.places, self.bare.ensemble.weights, mapping, np.inf)
        return Outcomes(there.uv, steps, there.passed * 2.0**self.gain), sure

    def reports(
        self, judge: Judge, stacks: Indices, outcomes: Outcomes, sure: Certainty
    ) -> list[StackAdvice]:
        """Report stacks (m, w) with their outcomes."""
        entries = stack_reports(judge, stacks, outcomes, sure)
        return [entry.model_copy(update={"dial": self.setting}) for entry in entries]


def as_read(bare: Bare) -> Stand:
    """Return a head as it stood when it was read."""
    return Stand(bare.source.reading.dial, bare, np.zeros((2, 2)))


def stand_at(bare: Bare, fit: DialFit, setting: Setting) -> Stand:
    """Return a head at a setting. Raises Unbendable where no light of its kind is what the mapping says."""
    if setting == fit.current:
        return as_read(bare)
    mapped = fit.of(setting)
    mired, duv = float(mapped.mired), float(mapped.duv)
    if not possible(mapped.mired, mapped.duv):
        raise Unbendable("no real light near white")
    uv = uv_of_cct_duv(np.array(MEGA / mired), np.array(duv))
    there = replace(bare, white=Whiteness(uv, MEGA / mired, duv), ensemble=spectra_at(bare, mired, duv))
    gain = float(fit.gain(np.array(MEGA / setting.cct)))
    return Stand(setting, there, _covariance(mapped), gain)


def spectra_at(bare: Bare, mired: float, duv: float) -> Ensemble:
    """Return the spectra that a head may have where it gives `mired` [MK⁻¹] and `duv`.

    A spectrum that was measured is bent to there, and is no longer one that was measured. Raises Unbendable.
    """
    uv = uv_of_cct_duv(np.array(MEGA / mired), np.array(duv))
    if bare.ensemble.measured:
        return measured(bare.ensemble.spectra[0], uv)._replace(measured=False)
    return ensemble(bare.source.kind, uv)


def _covariance(mapped: Mapped) -> Array:
    """Return the covariance (2, 2) [step²] of where a mapping may lead instead."""
    warmer, greener = moves_at(MEGA / mapped.mired, mapped.duv)
    spread = np.stack([warmer * np.sqrt(mapped.mired_variance), greener * np.sqrt(mapped.duv_variance)])
    return np.asarray((spread * PER_STEP).T @ (spread * PER_STEP))
