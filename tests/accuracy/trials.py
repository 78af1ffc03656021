"""What the advisor, and plain arithmetic, say of a lamp behind each gel, and what is true.

The advisor is asked by its own code from a source's reading on (advisor.advice); nothing of it is copied.
"""

from dataclasses import replace
from enum import Enum
from functools import cache
from typing import NamedTuple

import numpy as np

from advisor.advice.readings.chromaticity import WhitePoint
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import GelArrays, gel_arrays_of
from advisor.advice.stacks.prediction import PreparedSource, predict_stacks, prepare
from advisor.advice.stacks.uncertainty import certainty
from advisor.colour.observer.cct import CCT_RANGE, DUV_LIMIT, cct_duv_of_uv, uv_of_cct_duv
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, uv_of_xyz
from advisor.colour.observer.data import Array, library, published
from advisor.colour.observer.grid import to_grid, weights
from advisor.colour.rendering.figures import NO_FIGURES, Figures, agreement
from advisor.colour.spectra.sources import Ensemble, ensemble
from advisor.model import Kind, Reading, Source, Spectrum, Target
from advisor.model.sets.lightset import EXACT
from tests.accuracy.filters import LABELS, DyeSet, filters
from tests.accuracy.lamps import WAVELENGTHS, Lamp, uv_at_1_nm

SAME_CCT, SAME_DUV, SAME_SHAPE = 0.01, 0.0006, 0.95
"""A published spectrum that agrees so in CCT (relative), Duv and shape (cosine) is the lamp itself."""


LEAST_RA, LEAST_R9 = -100, -300
"""The lowest figures that the advisor's model takes."""


class Knows(Enum):
    """What the advisor is told of a lamp: CCT, Duv and kind, and more or less."""

    READING = "CCT, Duv, kind"
    FIGURES = "with Ra and R9"
    SPECTRUM = "with the spectrum"
    NO_KIND = "kind not told"


class Trial(NamedTuple):
    """A lamp behind the gels of a set of dyes, all (16,) in Δu′v′.

    `plain` is the error of plain arithmetic (NaN where it leaves the range of whites), `error` the
    advisor's, `stated` the radius in which it said that 90 % of outcomes lie.
    """

    plain: Array
    error: Array
    stated: Array


def trial(lamp: Lamp, dyes: DyeSet, knows: Knows, *, leave_out: bool = True) -> Trial:
    """Hang every gel alone before a lamp, and compare."""
    gels = filters(dyes)
    gel_arrays = gel_arrays_of(gels.rows)
    stacks = np.array([[i] for i in gel_arrays.find([gel.name for gel in gels.rows])])
    target = white_of(Target(cct=5600), [])  # what is predicted does not depend on it
    bare = bare_of(lamp, gel_arrays, target, knows, leave_out=leave_out)
    [outcomes] = predict_stacks([bare], gel_arrays, stacks)
    sure = certainty(bare, gel_arrays, stacks, EXACT)
    true = uv_at_1_nm(lamp.power * gels.transmittances)
    mired, cc = (np.array([getattr(label, axis) for label in LABELS]) for axis in ("mired", "cc"))
    return Trial(
        plain=delta_uv_prime(by_arithmetic(lamp, mired, cc), true),
        error=delta_uv_prime(outcomes.uv, true),
        stated=sure.steps * STEP_DELTA_UV,
    )


def by_arithmetic(lamp: Lamp, mired: Array, cc: Array) -> Array:
    """Add labels up to (u, v), (n, 2); NaN where that is no white any more."""
    total, duv = 1e6 / lamp.cct + mired, lamp.duv + cc / 1000.0
    low, high = CCT_RANGE
    white = (total >= 1e6 / high) & (total <= 1e6 / low) & (np.abs(duv) <= DUV_LIMIT)
    found = np.full((len(total), 2), np.nan)
    found[white] = uv_of_cct_duv(1e6 / total[white], duv[white])
    return found


def bare_of(
    lamp: Lamp, gel_arrays: GelArrays, target: WhitePoint, knows: Knows, *, leave_out: bool = True
) -> PreparedSource:
    """Make a lamp ready from what the advisor is told of it.

    With `leave_out`, published spectra that are this very lamp are taken out of its ensemble.
    """
    figures = _figures(lamp) if knows is Knows.FIGURES else NO_FIGURES
    kind = Kind.UNKNOWN if knows is Knows.NO_KIND else lamp.kind

    def ready(reading: Reading) -> PreparedSource:
        return prepare(Source(name=lamp.name, kind=kind, reading=reading), gel_arrays, target)

    if knows is Knows.SPECTRUM:
        return ready(Reading(spectrum=_spectrum(lamp)))
    bare = ready(Reading(cct=lamp.cct, duv=lamp.duv, ra=figures.ra, r9=figures.r9))
    if not leave_out or not any(is_itself(lamp, name) for name in bare.ensemble.names):
        return bare
    # The figures are weighed again without it: what agrees best sets their scale.
    whole = ready(Reading(cct=lamp.cct, duv=lamp.duv)).ensemble
    kept = [i for i, name in enumerate(whole.names) if not is_itself(lamp, name)]
    weights = whole.weights[kept] * agreement(whole.spectra[kept], figures)
    ensemble = Ensemble(whole.spectra[kept], weights / weights.sum(), tuple(whole.names[i] for i in kept))
    return replace(bare, ensemble=ensemble)


def _spectrum(lamp: Lamp) -> Spectrum:
    start, step = float(WAVELENGTHS[0]), float(WAVELENGTHS[1] - WAVELENGTHS[0])
    return Spectrum(start=start, step=step, values=lamp.power.tolist())


def _figures(lamp: Lamp) -> Figures:
    """Return Ra and R9; one below what the advisor takes is one that nobody can enter."""
    return Figures(ra=lamp.ra if lamp.ra >= LEAST_RA else None, r9=lamp.r9 if lamp.r9 >= LEAST_R9 else None)


def is_itself(lamp: Lamp, name: str) -> bool:
    """Whether a member of an ensemble, by its name, is a published spectrum of this very lamp."""
    known = _published(name)
    if known is None:
        return False
    shape, cct, duv = known
    if abs(cct / lamp.cct - 1.0) >= SAME_CCT or abs(duv - lamp.duv) >= SAME_DUV:
        return False
    own = to_grid(WAVELENGTHS, lamp.power)
    return float(shape @ own / np.linalg.norm(own)) > SAME_SHAPE


def is_left_out(lamp: Lamp) -> bool:
    """Whether an archetype of the lamp's kind is the lamp itself."""
    names = ensemble(lamp.kind, lamp.uv).names
    return any(is_itself(lamp, name) for name in names)


@cache
def _published(name: str) -> tuple[Array, float, float] | None:
    """Return a published spectrum of norm 1 on the grid, its CCT and Duv; None for members of families."""
    if name not in library().SDS_ILLUMINANTS and name not in library().SDS_LIGHT_SOURCES:
        return None
    shape = to_grid(*published(name))
    cct, duv = cct_duv_of_uv(uv_of_xyz(shape @ weights()))
    return shape / np.linalg.norm(shape), float(cct), float(duv)
