"""Further figures that meters print, and how well spectra agree with them."""

from typing import NamedTuple

import numpy as np

from ..observer.data import Array
from .cri import general_index, special_indices
from .rendition import fidelity_and_gamut
from .ssi import similarity


class Figures(NamedTuple):
    """What a meter printed beside CCT and Duv; None where it printed nothing.

    `ra`, `r9` are CIE 13.3, `rf`, `rg` ANSI/IES TM-30, `ssi` SMPTE ST 2122 against `ssi_reference`,
    such as ``P3200`` (Planckian) or ``D5600`` (daylight), in kelvins.
    """

    ra: float | None = None
    r9: float | None = None
    rf: float | None = None
    rg: float | None = None
    ssi: float | None = None
    ssi_reference: str | None = None


NO_FIGURES = Figures()
"""A meter that printed CCT and Duv alone."""
_SPREAD = Figures(ra=4.0, r9=24.0, rf=3.0, rg=4.0, ssi=5.0)
"""How far a member's figure may be from the meter's before it weighs exp(−1/2) as much. Ra and R9 were set
on the even rows of the accuracy check, the others by analogy (no source)."""
_DOUBT = 0.01
"""What is left of the weight of a member that agrees in nothing: the meter or the kind may be wrong.
Chosen by us."""


def agreement(spectra: Array, seen: Figures) -> Array:
    """Return factors (k,) for the weights of spectra (k, 81): about 1 for the one that agrees best."""
    apart = np.zeros(len(spectra))
    if seen.ra is not None or seen.r9 is not None:
        special = special_indices(spectra)
        apart += _apart(general_index(special), seen.ra, _SPREAD.ra) + _apart(
            special[:, 8], seen.r9, _SPREAD.r9
        )
    if seen.rf is not None or seen.rg is not None:
        both = np.array([fidelity_and_gamut(spectrum) for spectrum in spectra])
        apart += _apart(both[:, 0], seen.rf, _SPREAD.rf) + _apart(both[:, 1], seen.rg, _SPREAD.rg)
    if seen.ssi is not None and seen.ssi_reference is not None:
        index = np.array([similarity(spectrum, seen.ssi_reference) for spectrum in spectra])
        apart += _apart(index, seen.ssi, _SPREAD.ssi)
    return np.asarray(np.exp(-0.5 * (apart - apart.min())) + _DOUBT)


def _apart(has: Array, seen: float | None, spread: float | None) -> Array:
    """Return how far members' figures (k,) are from the meter's, squared; one that has none, as the worst."""
    if seen is None or spread is None:
        return np.zeros(len(has))
    off = ((has - seen) / spread) ** 2
    known = np.isfinite(off)
    return np.where(known, off, off[known].max(initial=0.0))
