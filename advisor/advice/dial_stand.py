"""A head with its dials at a setting: the light that it then gives, and what stacks make of that.

References
----------
Abramowitz, M. and Stegun, I. A. (1964), 25.4.45: Gauss–Laguerre integration, here over the radius of a round
normal scatter (from memory).
"""

from dataclasses import dataclass, replace

import numpy as np

from ..colour.cct import moves_at, uv_of_cct_duv
from ..colour.chromaticity import STEP, distance, length
from ..colour.data import Array
from ..colour.loci import MEGA
from ..colour.predict import through
from ..colour.sources import Ensemble, Unbendable, ensemble, measured
from ..model import Accuracy, Setting, StackAdvice
from .certainty import SCALE, certainty
from .dial_fit import DialFit, Mapped
from .dial_surfaces import possible
from .measure import Whiteness
from .prediction import Bare, Outcomes, stacked
from .rack import Rack
from .report import stack_reports
from .stacks import Indices

_RINGS = (((2 - 2**0.5) ** 0.5, (2 + 2**0.5) / 4), ((2 + 2**0.5) ** 0.5, (2 - 2**0.5) / 4))
"""Radii, in √2 standard deviations, and shares of a round normal scatter (Gauss–Laguerre, two points)."""
_AROUND = np.arange(6) * np.pi / 3
_POINTS = np.concatenate(
    [2**0.5 * r * np.stack([np.cos(_AROUND), np.sin(_AROUND)], axis=1) for r, _ in _RINGS]
)
"""Where a round normal scatter of standard deviation 1 is looked at, (12, 2): its mean distance to 5 %."""
_SHARES = np.repeat([share / len(_AROUND) for _, share in _RINGS], len(_AROUND))


@dataclass(frozen=True, eq=False)
class Stand:
    """A head at a `setting`: None is as it was read, its dial not noted.

    `bare` is the head as it then is; `offsets` (p, 2) in (u, v), weighing `shares` (p,), are where the
    mapping may lead instead; `gain` is how much more light it gives than in the reading that counts. [stop]
    """

    setting: Setting | None
    bare: Bare
    offsets: Array
    shares: Array
    gain: float = 0.0

    def outcomes(self, rack: Rack, stacks: Indices) -> tuple[Outcomes, Array]:
        """Predict stacks (m, w): outcomes, and each ensemble member's expected miss, (m, k), in steps.

        The mapping's error is carried through a stack as the same shift in mireds and Duv.
        """
        weights = self.bare.ensemble.weights
        light = through(self.bare.ensemble.spectra, stacked(rack.transmittances, stacks))
        apart = distance(light.uv[:, :, None, :] + self.offsets, self.bare.wanted.uv) / STEP
        members = apart @ self.shares
        passed = light.passed @ weights * 2.0**self.gain
        return Outcomes(np.einsum("mkc,k->mc", light.uv, weights), members @ weights, passed), members

    def reports(
        self, rack: Rack, stacks: Indices, outcomes: Outcomes, accuracy: Accuracy
    ) -> list[StackAdvice]:
        """Report stacks (m, w) with their outcomes."""
        sure = certainty(self.bare, rack, stacks, outcomes, accuracy).steps
        scatter = (length(self.offsets) / STEP) ** 2 @ self.shares
        entries = stack_reports(self.bare, rack, stacks, outcomes, np.sqrt(sure**2 + SCALE**2 * scatter))
        return [entry.model_copy(update={"dial": self.setting}) for entry in entries]


def as_read(bare: Bare) -> Stand:
    """Return a head as it stood when it was read."""
    return Stand(bare.source.reading.dial, bare, np.zeros((1, 2)), np.ones(1))


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
    return Stand(setting, there, _offsets(mapped), _SHARES, gain)


def spectra_at(bare: Bare, mired: float, duv: float) -> Ensemble:
    """Return the spectra that a head may have where it gives `mired` [MK⁻¹] and `duv`.

    A spectrum that was measured is bent to there, and is no longer one that was measured. Raises Unbendable.
    """
    uv = uv_of_cct_duv(np.array(MEGA / mired), np.array(duv))
    if bare.ensemble.measured:
        return measured(bare.ensemble.spectra[0], uv)._replace(measured=False)
    return ensemble(bare.source.kind, uv)


def _offsets(mapped: Mapped) -> Array:
    """Return where a mapping may lead instead, (12, 2) in (u, v)."""
    warmer, greener = moves_at(MEGA / mapped.mired, mapped.duv)
    spread = [warmer * np.sqrt(mapped.mired_variance), greener * np.sqrt(mapped.duv_variance)]
    return np.asarray(_POINTS @ np.stack(spread))
